// Prints what an independent reader hears in MusicXML files: for each file one
// line of JSON, a list of [quarter note, MIDI key number, from tab].
import createVerovioModule from 'verovio/wasm';
import { VerovioToolkit } from 'verovio/esm';
import { readFileSync } from 'node:fs';

console.error = console.warn = () => {}; // its remarks on layout
const toolkit = new VerovioToolkit(await createVerovioModule());
for (const file of process.argv.slice(2)) {
  toolkit.setOptions({ inputFrom: 'musicxml' });
  const notes = [];
  if (toolkit.loadData(readFileSync(file, 'utf8'))) {
    for (const moment of toolkit.renderToTimemap({})) {
      for (const id of moment.on ?? []) {
        const tab = 'tab.fret' in toolkit.getElementAttr(id);
        notes.push([moment.qstamp, toolkit.getMIDIValuesForElement(id).pitch, tab]);
      }
    }
  }
  process.stdout.write(JSON.stringify(notes) + '\n');
}
