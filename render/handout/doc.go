// Package handout writes music as a sheet to hand out: one file of HTML that
// needs nothing beside it and no network, is read on a phone or a screen, and
// prints on A4 and Letter. It holds what to practise, the music as engraved
// tab, pictures of the neck, and what the signs mean; as a worksheet the same
// with blanks to fill in, and its answers.
//
// All of it comes from the model, so sheet, worksheet and answers cannot
// disagree. Nothing is ever read back from a sheet.
package handout
