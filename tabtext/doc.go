// Package tabtext reads, edits in place and writes plain-text tab.
//
// [Read] makes a [Document] of a text: prose with blocks of tab in it. Its
// [Document.Score] is the music; [Document.Apply] edits changed music into the
// text; [Write] makes a new text. No standard of tab exists, so this page says
// what is recognised, in which order of authority, and what is reported. Where
// the trade has a sign, it is the trade's (Wright, Guide to TAB Notation,
// 1995/96; the rest is common practice); signs that are ours are marked so.
//
// # Layers
//
// The text layer (source, row, system, attached, header) finds systems and
// what belongs to their columns, and keeps for each the place in the source.
// The musical layer (sign, group, timer, builder) makes the model. A handle of
// the model is an index into a table of places. Writing goes the other way:
// composer (what stands at which time), placing (which column), canvas.
//
// # Text
//
// UTF-8 with and without byte order mark, UTF-16 of both orders, and line by
// line Windows-1252 where a line is not UTF-8. Lines end in LF, CR LF or CR;
// each keeps its own. Tabs reach to multiples of eight columns. Typographic
// dashes, box-drawing lines and no-break spaces count as the plain signs. In
// HTML entities are decoded and tags take no columns. Marks of quoted mail
// ("> ") at the beginning of a line are passed over. A row that a mail program
// broke into two lines is joined (tab-rows-joined). A row that lacks up to three columns in a bar,
// or has as many too many, while most others agree, is read with its bar lines
// under theirs (tab-bar-ragged).
//
// # Systems
//
// A row is an optional label, then hyphens, numbers, bar lines and signs, at
// least half of it hyphens, numbers and bar lines:
//
//	e|--3--5--|    Bb|-----    1|--0--|    D3|--7-    |--5--|    ---5---
//
// The label may be in words ("high e", "low E", "A string", "string 6"). A capital I, l or !
// may stand for the bar lines of a row that has none, a letter O for 0 (tab-letter-o). Long
// dashes are two columns where the rows are of one length only so (tab-long-dash).
// Three to twelve rows that follow each other are a system. More rows without
// a break are cut where the labels begin anew, else by the number of strings
// that is expected. One empty line between labelled rows is passed over. One or
// two rows are a system if they have labels and bar lines at both ends; shorter
// rows are, if their labels are all those of an instrument (e-2-, B-3- …). Rows
// may have blanks or dots for hyphens, which stay so, if they have bar lines at
// both ends and the labels of an instrument, or of three or more strings of a
// guitar next to each other (tab-rows-blank). Rows without frets in which o stands
// for a stroke are drums, and no tab. Lines that look like rows and are in no
// system are named (tab-unread).
//
// Lines directly above and below, without an empty line between, belong to
// the columns of the system if all their words fit one of these; the first
// that fits wins:
//
//	b3  5  1  (degree)    a row with its name in brackets at the end (ours):
//	                      fingers, pluck, signs, words, degree, chord-tone,
//	                      role, name, interval; E  E  E  (chords) is chords
//	time:3/4 key:A-minor  marks (ours): also tempo: capo: tuning: frets:, joined
//	3/4  x3  [1.   ]      by ";"; a metre; how often to repeat; endings
//	PM----|  let ring--|  extents; one that goes on from the system before
//	                      begins with a hyphen, one without | goes on
//	|-3-|  |--5:4--|      tuplets
//	3     3     3         tuplets without brackets (3, 5, 6, 7, 9): each at the middle or the
//	                      first of so many even notes, where the bar comes out so and
//	                      each begins on its beat; else tab-tuplet-numbers
//	1 & 2 e & a           counts; 1 4 7 10 where only some beats are counted
//	5   6   m.5  bar 5    numbers of bars: one to a bar, rising as the bars do, where
//	(5) [5] #5 5: 5.      a bar has many notes (tab-bar-numbers); 1. 2. are endings
//	                      where something repeats, 17 alone over the tab numbers it
//	Q E E. (H) ~Q         rhythm letters W H Q E S T and X for a 64th
//	v ^ v ^   D U D U     strokes
//	S P S P    T   T      slap and pop (T the thumb); taps, if all are T
//	Am7  D7/F#  N.C.      chord symbols, in brackets too; a row of one or two E
//	                      is chords, of more eighth notes. Marks and extents may
//	                      stand among them. A row with more symbols than other
//	                      words is one; these words stay and are reported
//	                      (tab-chord-words), and so is prose that has symbols in
//	                      it (tab-chord-row). "E-7   A7" is no string. A symbol
//	                      counts from the note or count at its column, or up to
//	                      two beside it; the first of a bar that stands beside
//	                      one within the first beat, or without counts up to two
//	                      columns behind the first note, is for the whole bar
//	two  words  apart     below the tab only: lyrics, if two thirds of the words
//	                      stand under notes of their own (a column or two beside
//	                      them), else a remark that keeps its columns. Three words
//	                      or more with one space between each are sung only if all stand
//	                      so under notes of their own; "let … ring" and "play … twice"
//	                      never are. Remarks, and words among chord symbols, are part of
//	                      what [Document.Unheld] tells. What is
//	                      sung on one note may be joined: of_the (ours). A row
//	                      named (words) is lyrics in any case
//
// # Strings and tuning
//
// In order of authority: the options; a line "Tuning: …" (a preset, names, or
// names with octaves) or a sentence that names one ("drop D", "half step
// down", "low E to D", "Eb tuning") and does not deny it; the labels; the usual instrument with so many strings. Labels tell
// which way up a system is: a small e is the first string; else the order that
// gives a known tuning wins; rows without labels follow a sentence such as
// "thick string on top". Labels that
// contradict are reported (tab-tuning-labels). Likewise capo, key, time, tempo
// and frets: options, then lines ("Capo: 2", "capo on the 2nd fret", "in the
// key of Am", "90 bpm", "slow 6/8"); a line may state several ("Tempo: 96, 7/8"). A key counts that a line "Key: Bb" states, else
// one that a heading names ("Slow blues in A", "(key of E)", "in Bb minor, slow"): a line,
// or the first clause of one, of at most eight words, nothing behind the key ("in D
// tuning", "in G or D"), no word of doubt ("originally in G"). A clause of any line counts that is
// nothing but "key of G", and in a heading, not at its beginning, one that is a key and its mode ("Rusty Gate - G minor,
// 3/4"). Words that name the key and are not read so stay when the music is moved; this is
// said (tab-key-words). The heading counts
// though the notes speak for another key, which is said (tab-key-doubt). Counts that end alike in every bar show a
// metre that is not stated (tab-metre-counts). "Part: name" begins a part, and
// so do a change in the number of strings and, where there are two of them,
// headings that name players ("Gtr 1"). A system whose labels are some of those of
// a system with more rows, in the same order, is the same part: the strings
// without a row are silent (tab-rows-absent), unless a line between them names a
// player or both stand one right over the other with the same bar lines. Five
// labels that are those of six strings without the first or the last are kept
// as a tuning of five, and the row is said to be missing (tab-row-missing).
// "Standard", and "half a step down", are said of the instrument that the labels
// spell or, where they do not, that the part or a line over the tab names
// ("Ukulele", "for mandolin"); strings that are spelled out ("standard tuning
// (GCEA)") win over the word. A metre may stand between commas, brackets or gaps,
// beside "time", "feel" or "sig", behind the name of a section ("Verse 2 6/8"), or at the
// beginning or end of words that name a feel, a key or a tempo ("Slow waltz in A 3/4"; not "page 3/4", "a 2/4 bar"), be
// "common time", or say "5 beats". A tempo is a number beside "bpm", "tempo" or
// "metronome", or behind a note value: "dotted quarter = 58" is 87 quarters a
// minute, "h = 60" 120; one that stands alone and is not exact counts too ("about
// 90", "120ish") and is said (tab-tempo-prose), as is a capo that a sentence leaves
// to the player ("capo 2 if you like", tab-capo-prose). A tempo that names no note
// value counts the beats of the metre: dotted quarters in 6/8, 9/8 and 12/8, so
// that 64 is 96 quarters a minute there (said once, tab-tempo-beat), else quarters.
//
// # Capo
//
// Frets count from the capo, and the score has what sounds. Chord symbols over a
// capo name what sounds or the shapes that are held (C over a capo at fret 2
// sounds D). "Chords: shapes" or "Chords: sounding" above the tab says which (ours),
// and so does a sentence ("chords are relative to the capo"). Else the notes on the
// beats tell, or all notes: what three more of them, and twice as many, have as
// chord tones in one way only. Shapes are told (tab-capo-shapes); where the
// notes do not tell, the symbols are taken as what sounds, with a warning
// (tab-capo-chords). A stated key goes with the symbols unless symbols and notes lie
// in it better as it sounds ("Key: D", chords C and G, capo 2); "Chords: shapes, key
// sounding" and "Chords: shapes, key too" say so. A key without chord symbols is
// what sounds; if it only fits the shapes, that is said (tab-capo-key). A text that
// names shapes goes on naming them when it is edited; a line that says so comes on
// top if the new notes would tell otherwise. New tab with a capo says "Chords: sounding".
//
// # Bars
//
// A bar line is a column in which more than half of the rows have |. Doubled,
// it is a double bar; with : (or two * or o) beside it a repeat; x3 after it
// or over or under it says how often, or else words close over or right under a
// system with one repeat ("play 4 times", tab-times-words). A bar of % repeats the one before. A bar line
// that few rows have is reported. Systems without bar lines are cut by the
// metre, their finest step being an eighth note (tab-no-bars); one distance in
// five may be a column off that step, or all of them if they change slowly between
// two widths. Where each of three or more chord symbols over strummed chords has half
// as many strokes as a bar has eighths, each begins a bar. A line whose only bar line
// closes it is cut so too, if it has more such steps than a bar, nearly all even (or a
// bar of them to each chord symbol), other bars are narrower, and no metre makes it
// sixteenths. A note that lasts over such a cut is tied; a dead note and a harmonic,
// which no sign can hold, are followed by a rest. Where counts begin again at 1, a bar
// line is missing, and the bar is cut there (tab-bar-missing). A chord symbol in the last column before a bar
// line, where no note is, belongs to the next bar. A bar that is
// broken over two systems, short in both and without a bar line at the break,
// is two measures that make one bar together (tab-bar-split). An ending without
// a sign at its end lasts until its repeat, or for one bar after that.
//
// # Time
//
// What stands in overlapping columns begins together. Times come from, in
// this order:
//
//  1. Counts. 1 2 3 count the lower number of the metre; & e a trip let are
//     parts of a beat (1/2, 1/4, 3/4, 1/3, 2/3), and so are + and n ah la li. A count with nothing over it
//     only marks time. Ours: (2) a rest begins; ~2 what stands in brackets over
//     it is tied; +1/5 a fifth of a beat after the beat; 4& a beat and its
//     part; a count under the bar line says where the bar ends if not where
//     its metre does. A count may stand over the bracket or sign before a
//     number, or a column beside the note if no other note has it. A row that stands up to three
//     columns beside nearly all of its notes is read as if it stood under them
//     (tab-count-shifted). A note
//     lasts until the next note or rest.
//  2. Rhythm letters, with dots, (Q) for rests, ~Q for ties, Q+S for sums,
//     under brackets of tuplets. A bar is as long as its letters; if that is
//     not its metre, it is reported (tab-bar-length).
//  3. Spacing. A bar is read as n equal parts of its metre, n being such that
//     a part is a note value or a triplet of one; part j begins at column
//     pad + j·cell. All notes must stand on the grid. Of all grids the cheapest
//     is taken: cost is the columns by which n parts miss the width of the bar
//     (in widths; a quarter more if it is too narrow, a third for one or two
//     columns before the bar line), 0.2 for triplets, 0.02 for each doubling
//     of the parts beyond the number of notes, 0.04 for each halving of a part
//     below a sixteenth. A first note within three columns of the bar line is
//     on the beat. One cell for the whole system is preferred; else each bar
//     has its own. Where the gaps between the signs fit better than the
//     columns (the same number of hyphens after each sign), they are used.
//     A bar whose rhythm is not simple so is read again with columns off by
//     one: a column too many or too few from some place on, or a note a column
//     beside its place (brackets count as their numbers do). The simplest
//     rhythm that fits is taken. Simple is, in this order of weight: no
//     triplets and straight parts in one beat, nor in one bar; nothing off the
//     sixteenths; notes off the eighths beside sixteenths only; plain or dotted
//     values; no grid finer than the least gap; the same width of a bar as in
//     the others of the system; few kinds of values. A column off costs as much
//     as one and a half notes off the eighths, so that a plain rhythm with a
//     column off beats an exact one with odd values, and no more than two or
//     three are forgiven. The bars are told (tab-spacing-off): 1 3 5 8 10 12 14 16
//     of 18 columns are eighths. Signs in adjacent columns are one chord where all
//     else in the bar stands three columns apart (tab-chord-ragged).
//     Under a tuplet bracket the columns only give the order: it takes one time,
//     and the grid is that of what is outside of it.
//     Times finer than sixteenths are rounded to the coarsest of quarters,
//     eighths and sixteenths that moves no note by more than a thirty-second
//     and lets no two meet. A
//     first bar of at most three quarters of the next is a pickup if it fits
//     the next one's grid. Every bar is as long as its metre, 4/4 if none is
//     said. Chords timed so have InferredTime, and one line says how many bars
//     were (tab-rhythm-inferred); "Rhythm: guessed from the spacing" before a
//     system (ours) says it of its counts (tab-rhythm-guessed); a bad fit
//     (tab-spacing-uneven) and bars that divide by three in an unstated metre
//     (tab-metre-doubt) are warned of. Where no metre is stated and each bar of a
//     part has room for three quarters, one of several notes exactly, with notes
//     on eighths and only eighths off the beats, it is read as 3/4 and this is
//     said (tab-metre-doubt). Likewise where all bars have room for as many even
//     notes and two of them, and half of those with several notes, hold them all:
//     3 are 3/4; 5 are 5/8, or 5/4 if four columns wide or more; 6 are 6/8; 7, 9,
//     11, 13 and 15 so many eighths; 10 are 5/4, 14 are 7/4. Six are 3/4 if more
//     bars go by twos than by threes: gaps between groups, chords or low strings
//     where they begin, strings or frets that come again, a line that turns, chord
//     symbols. Twelve are 3/4 only if they go by fours; else they stay triplets of
//     4/4, since 12/8 sounds the same on the same beats, and so do bars of 4/4 with
//     more notes than that.
//
// # Signs on the strings
//
// A legend in the file ("v = down-stroke", "(s) slap", "x = dead, ~ = vibrato",
// and signs of two to four letters: "ho = hammer-on", "NH = natural harmonic")
// is obeyed first. One that gives a sign a meaning that is not known here is
// reported ("* = staccato", tab-legend), and the sign read as usual. Then:
//
//	7 12          fret; a number above 24 (or the last fret) is two frets
//	x             dead note
//	(7)           ghost; held (a tie) under ~, or, in bars timed by spacing,
//	              at the beginning of a bar after the same fret
//	<12> [12]     natural and artificial harmonic
//	5<17> t5<17>  artificial and tapped harmonic, touched at the 17th fret
//	5*            pinch harmonic (ours)
//	5h7 7p5       hammer-on, pull-off; the sign may stand apart: 5-h-7
//	5/7 7\5 5s7   slide; 5S7 a slide that strikes the second note (ours)
//	7/--9         slide too, if the next number of the bar lies that way
//	/7 \7 7/ 7\   slide from and to nowhere, 9-\- too if no note follows; 7// where 7/ would lead to a number
//	7b9 7b(9) 7^9 bend to the sound of fret 9; 7bf full, 7bh half, 7b1/2 in
//	              steps, 7b a whole step (reported)
//	7b9r7 7pb9    with release; bent before it is struck
//	7~ 7v 7w      vibrato; wide vibrato (w is ours)
//	5tr7 5TP      trill, tremolo picking
//	t12 T12 +12   tapped
//	g5            grace note (ours)
//	7\/           dip of the tremolo bar
//	h5            hammered from nowhere, if no note is before it in its bar
//	S5 P5         slapped, popped
//	= _           the string goes on
//
// Marks that contradict each other or what they stand over (a bracket that does
// not fit the times under it, an extent over notes that another holds, a second
// key for one time, two endings that begin in one bar) stay in the text and are
// left out of the music (tab-no-effect).
//
// Other marks have a word in the row "(signs)": >, stacc, ten, ferm, rake,
// dive … An unknown sign stays where it is, has no effect and is reported once
// (tab-unknown-sign).
//
// # Editing
//
// Apply is gentle in steps, and reads every result back to be sure. Numbers,
// signs and chord symbols are changed at their columns; missing columns are
// gained by all rows and lines of the system together, in bars timed by
// spacing evenly, so that they still read the same. A system that would be wider
// than the text was, and than 80 columns, is cut at bar lines, with its rows of
// words; [Narrow] does so for any width. One that cannot
// be edited so is written anew, in the author's labels, order, signs (of the legend) and dashes of print, with entities
// in HTML, without counts if it had none and with its unknown signs, as far as that reads back.
// A rhythm that was guessed from spacing is carried by spacing again, in new tab
// too; where that reads otherwise, there are counts under a line that says so.
// Lines that state a key, tuning or capo follow. All else is copied byte for byte.
//
// Labels of notes (degree, chord-tone, role, name, interval) stand in rows below
// the system, one word for each chord, which begins in its column, or one before
// it with a bracket, an accent or a minus; notes of a chord from the first string
// on, with commas between. A word without room goes into another row of that
// name. Lines such as "Labels: role: p passing" after the last system explain
// them.
//
// # Writing
//
// Columns are in proportion to time, four to a quarter note or more, as far
// as a bar stays within 72 columns. Where a section begins (a rehearsal mark,
// a double bar line before it) its words are written as a heading above the
// system, unless a reader would take them for more than words. What tab cannot hold is reported, each
// thing once, with how often and the first bars: notes without a place, voices of
// their own length, styles of bar lines, words, dynamics, slurs, marks on some
// notes of a chord.
package tabtext
