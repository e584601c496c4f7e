// Package handout writes music as a sheet to hand out: one file of HTML that
// needs nothing beside it and no network, is read on a phone or a screen, and
// prints on A4 and Letter. It holds what to practise, the music as engraved
// tab, pictures of the neck, and what the signs mean; as a worksheet the same
// with blanks to fill in, and its answers.
//
// All of it comes from the model, so sheet, worksheet and answers cannot
// disagree. Nothing is ever read back from a sheet.
//
// # For programs
//
// Whoever reads a page by program finds the music in sections of the class
// "piece", under their headings; those of answers have an id that begins with
// "answers". In them pictures of the class "tab" show it once for paper
// ("wide") and once for narrow screens ("narrow"), or, without these classes, for
// both. A row of text is what stands on one string: it has data-string, and
// data-part in parts behind the first. The name of the string has the class
// "string-name"; a number that stands for several notes has data-notes. In
// parentheses is what sounds on or hardly sounds, in angle brackets where a
// harmonic is touched; x is dead. internal/prove checks pages by this.
package handout
