// Package degrees reads, edits in place and writes phrases as degrees: a text
// that is typed in a line of a mail, has no key, no strings and no frets, and
// becomes notes in any key and tuning.
//
//	Degrees: minor
//	Title: Back Stairs
//	Time: 4/4
//
//	E 1 b3 4 h5 | {i7} Q b7^1 E +1 p5 4 b3 ~b3 1 | {V7} [3:2 E 7 1 2] Q 5 (H) |
//
// [Read] makes a [Document], [Document.Score] is its music, [Document.Apply]
// edits changed music into the text, [Write] makes a new text. The words are
// the trade's; the form is our own.
//
// # Header
//
// Lines of a name and a value, before the music:
//
//	Degrees: minor     that this is a text of degrees, and the mode of its key:
//	                   major, minor, ionian … locrian; nothing if it is not said
//	Title: Subtitle: Composer:
//	Time: 3+2/8        the metre; also common, cut, free; 4/4 if none is said
//	Tempo: 96 "easy"   quarter notes per minute, words, or both
//	Octave: -1         all octave marks count from an octave lower
//	Tuning: drop D     the neck, where it is not a guitar in standard tuning or
//	Capo: 2            is not to be chosen by whoever reads
//	Frets: 24
//	Part: Bass         begins a part. Further parts count from the tonic of the
//	                   first; "Degrees: 5 major" says another one
//
// A line that begins with // is a remark.
//
// # Notes
//
//	5  b3  #4          a degree, against the major scale of the tonic in every
//	                   mode; ♭ and ♯ are read too. 8 9 10 11 13 lie above
//	+1  --5            each + is an octave up, each - one down. Unmarked is the
//	                   octave from the tonic up that lies from E3 to D♯4
//	1&3&5              struck together
//	E 1 2 Q. 3         rhythm letters W H Q E S T, X for a 64th, with dots, hold
//	                   until the next one, over bar lines and voices too; the
//	                   first is Q. H+E is a sum, Q*3/7 a multiple
//	(E)  ()            a rest; () has the length that holds
//	(bar)  (bar=H.)    a rest for the whole bar, and of a length that is not the
//	                   metre's
//	[3:2 E 1 2 3]      a tuplet: three in the time of two. It may hold another
//	                   and ends in its bar and voice
//	~5                 held over from the last note of its degree and octave in
//	                   its voice
//	g5  gg5            a grace note, slashed; not slashed
//	x@3                a dead note on string 3
//	5@2                a note that is to lie on string 2. Without @ the place is
//	                   found when a neck is known
//
// # Techniques
//
//	h5  p5             hammered on, pulled off from the note before
//	/5  \5  s5         slid to: legato, either way; s strikes the second note
//	4^5                bent from 4 to the sound of 5, the next one up
//	4p^5  4^5r  4^5r#4 bent before it is struck; released, all the way or to #4
//	4^(1/2)            bent by so many semitones; 1/2 is a quarter-tone curl
//	4bar^(-2)          done with the tremolo bar
//	5:vib,acc          words for all else, listed below
//	1&3&5::acc         for all notes of a stack; also ::strokes3, ::cue
//	5:mute( … 1:mute)  what connects two notes begins at the one and ends at the
//	                   other; mute2( where two are open at once
//
// The note before is the last one in the voice; of several struck together
// the one at the same height in a stack as large, else the nearest in pitch.
// Where that is not meant, words say it: hammer( pull( slide( shift( gliss(
// slur( mute( rings( vibs(. The other words are dead ghost held tap tap-left
// vib wide-vib trem pm ring down up slap pop rake dip dive thumb open golpe
// acc strong soft stacc stacc! spicc ten port stress unstress breath caesura
// snap nail stop half-mute ferm roll-up roll-down, for winds double-tongue
// triple-tongue heel toe flip smear open-wind brass-bend; scoop plop doit fall
// for slides from and to nowhere; harm art pinch tap-harm for harmonics and tr
// for a trill, with semitones above the note: harm+12, tr+2; pluck-i for a
// finger of the other hand.
//
// # Bars and voices
//
//	|  ||  |||         bar line, double, final
//	||:  :||  :||x3    repeats. At the end of one line and the beginning of the
//	                   next one, | is one bar line
//	;                  the next voice of the same bar; voice:4 staff:2 number it
//	skip:Q             time in which a voice has neither note nor rest
//
// The first bar is a pickup if it is shorter than its metre; "counted" and
// "uncounted" at the beginning of a bar say otherwise. Bars are as long as
// their longest voice; one that differs from the metre is reported.
//
// # Marks
//
//	{ii7}  {V7/V}      a chord symbol as a Roman numeral, see
//	                   [theory.Key.ParseRoman]; {N.C.}
//	+E{V7}             a mark that comes so much after the beginning of the note
//	                   that follows it
//	time:3/4  tempo:96"easy"
//	key:5-major        from here 1 is the fifth of the first tonic, above it;
//	                   key:none
//	capo:2  frets:24  tuning:D,A,D,G,A,D
//	words:"…"  rehearsal:"A"  dynamics:"mf"  lyric:"la"
//	ending:1,2  ending:stop  ending:discontinue
//	bar:dashed         a bar line of a style of MusicXML
//
// # Writing
//
// Every bar begins with its rhythm letter, so that it can be copied alone.
// Strings, frets and fingers are not written, which one line reports: they
// are found anew. What cannot be written is reported once for each kind, with
// its number and first place: labels, microtones, drums, ties and connections
// that lack an end, numbers of bars that do not count from 1, signatures that
// are not of the circle of fifths, and the like. How the page is written
// (clefs, octaves) belongs to notation and is not told.
//
// # Editing
//
// Apply writes anew the bars and header lines that differ, and copies the
// rest; if bars came or went, the music of the part. The result is read back
// to be sure.
package degrees
