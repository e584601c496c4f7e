// Prints, as JSON, what the npm library tonal says about intervals, notes,
// scales, chords and keys. The tests of package theory compare themselves
// with it. It computes nothing of its own but the loops.
import { createRequire } from "node:module";

const { Chord, ChordType, Interval, Key, Note, Scale, ScaleType } = createRequire(import.meta.url)("tonal");

const accidentals = ["bb", "b", "", "#", "##"];
const names = [..."CDEFGAB"].flatMap((letter) => accidentals.map((a) => letter + a));
const tonics = [..."CDEFGAB"].flatMap((letter) => ["b", "", "#"].map((a) => letter + a));

const qualities = (number) => ([0, 3, 4].includes((number - 1) % 7) ? ["dd", "d", "P", "A", "AA"] : ["dd", "d", "m", "M", "A", "AA"]);
const intervals = [];
for (let number = 1; number <= 15; number++) {
  for (const q of qualities(number)) {
    if (number === 1 && q.startsWith("d")) continue; // a unison cannot be smaller
    intervals.push(number + q);
  }
}
const shortName = (i) => i.replace(/^(-?)(\d+)([a-zA-Z]+)$/, "$1$3$2");

const tables = {
  // "M3" -> semitones
  intervals: Object.fromEntries(intervals.map((i) => [shortName(i), Interval.semitones(i)])),
  // note with octave -> MIDI
  midi: Object.fromEntries(names.flatMap((n) => [1, 4, 7].map((o) => [n + o, Note.midi(n + o)]))),
  // note -> interval -> note with octave, both ways
  transpose: Object.fromEntries(
    names.map((n) => [
      n + "4",
      Object.fromEntries(
        intervals.flatMap((i) => [
          [shortName(i), Note.transpose(n + "4", i)],
          ["-" + shortName(i), Note.transpose(n + "4", "-" + i)],
        ]),
      ),
    ]),
  ),
  scales: ScaleType.all().map((s) => ({
    name: s.name,
    aliases: s.aliases,
    intervals: s.intervals.map(shortName),
    notes: Object.fromEntries(tonics.map((t) => [t, Scale.get(t + " " + s.name).notes])),
  })),
  chords: ChordType.all().map((c) => ({
    aliases: c.aliases,
    intervals: c.intervals.map(shortName),
    notes: Object.fromEntries(tonics.map((t) => [t, Chord.getChord(c.aliases[0], t).notes])),
  })),
  // scale degrees harmonised, and key signatures
  keys: Object.fromEntries(
    ["Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"].map((t) => {
      const k = Key.majorKey(t);
      return [t, { fifths: k.alteration, scale: k.scale, triads: k.triads, chords: k.chords, chordScales: k.chordScales, relative: k.minorRelative }];
    }),
  ),
  minorKeys: Object.fromEntries(
    ["Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#", "G#", "D#", "A#"].map((t) => {
      const k = Key.minorKey(t);
      const part = (s) => ({ scale: s.scale, triads: s.triads, chords: s.chords });
      return [t, { fifths: k.alteration, natural: part(k.natural), harmonic: part(k.harmonic), melodic: part(k.melodic) }];
    }),
  ),
};

process.stdout.write(JSON.stringify(tables) + "\n");
