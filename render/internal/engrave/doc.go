// Package engrave lays music out as tab on a page: where every number, stem,
// beam, curve and word goes. The result is plain data ([Scene]); what draws it
// needs to know no music.
//
// A page's lengths are in units of a 96th of an inch (0.2646 mm), which is a
// CSS pixel. The origin is the top left corner; y grows downwards. Strings lie
// 11 units apart.
//
// The signs are those that players know from printed tab: rhythm as stems,
// beams and flags beside the strings, a shorter stem for a half note and none
// for a whole one, bends as arrows with their amount in whole tones, curves for
// hammer-ons and pull-offs, lines for slides. Source: common practice, but for
// the rhythm of the notes, which follows Gould, "Behind Bars" (2011), from
// memory, in beams, rests and tuplets.
//
// Everything here is a pure function and safe for concurrent use.
package engrave
