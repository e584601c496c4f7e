// Prints what an independent reader draws of MusicXML files: for each file one
// line of JSON with the words on all pages and the colours of what it draws.
import createVerovioModule from 'verovio/wasm';
import { VerovioToolkit } from 'verovio/esm';
import { readFileSync } from 'node:fs';

console.error = console.warn = () => {}; // its remarks on layout
const toolkit = new VerovioToolkit(await createVerovioModule());
for (const file of process.argv.slice(2)) {
  toolkit.setOptions({ inputFrom: 'musicxml' });
  const words = [];
  const colors = new Set();
  if (toolkit.loadData(readFileSync(file, 'utf8'))) {
    for (let page = 1; page <= toolkit.getPageCount(); page++) {
      const svg = toolkit.renderToSVG(page);
      for (const [, text] of svg.matchAll(/<tspan[^>]*>([^<]+)<\/tspan>/g)) words.push(text.trim().replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&amp;', '&'));
      for (const [, color] of svg.matchAll(/(?:color|fill)="(#[0-9A-Fa-f]{6})"/g)) colors.add(color.toUpperCase());
    }
  }
  process.stdout.write(JSON.stringify({ words: words.filter((w) => w), colors: [...colors].sort() }) + '\n');
}
