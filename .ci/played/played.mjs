// Prints what an independent reader finds in Standard MIDI Files: for each file
// one line of JSON. Notes are [track, channel, key, on, off, velocity] in ticks;
// other events keep the fields that the reader gives them, with their tick.
import { readFileSync } from 'node:fs';
import midiFile from 'midi-file';

for (const file of process.argv.slice(2)) {
  const midi = midiFile.parseMidi(readFileSync(file));
  const out = { format: midi.header.format, division: midi.header.ticksPerBeat, ends: [], notes: [], events: [], dangling: 0 };
  midi.tracks.forEach((track, index) => {
    let tick = 0;
    const sounding = new Map();
    for (const event of track) {
      tick += event.deltaTime;
      if (event.type === 'noteOn' && event.velocity > 0) {
        const id = event.channel * 128 + event.noteNumber;
        if (sounding.has(id)) out.dangling++;
        sounding.set(id, [index, event.channel, event.noteNumber, tick, 0, event.velocity]);
      } else if (event.type === 'noteOff' || event.type === 'noteOn') {
        const id = event.channel * 128 + event.noteNumber;
        const note = sounding.get(id);
        if (!note) { out.dangling++; continue; }
        sounding.delete(id);
        note[4] = tick;
        out.notes.push(note);
      } else if (event.type !== 'endOfTrack') {
        const { deltaTime, meta, running, ...rest } = event;
        out.events.push({ tick, track: index, ...rest });
      }
    }
    out.dangling += sounding.size;
    out.ends.push(tick);
  });
  process.stdout.write(JSON.stringify(out) + '\n');
}
