package diagram

import "example.org/lickwright/render/internal/ink"

// A palette is the colours of a picture. In each, what is written on a colour
// has a contrast of 4.5 to 1 or more, and roles stay apart in greys: the root is
// the heaviest, other notes are the lightest.
type palette struct {
	paper          ink.Color // the page
	ink            ink.Color // words
	quiet          ink.Color // fret numbers, names of strings
	wire, str      ink.Color // frets and strings
	root, onRoot   ink.Color
	tone, onTone   ink.Color
	other, onOther ink.Color
	outline        ink.Color // of tiles and discs
	faint          ink.Color // dots without label
	accent         ink.Color // shifts, slides, slurs
	mark           ink.Color // brackets along the neck
}

func light() palette {
	return palette{
		paper: ink.Hex(0xffffff), ink: ink.Hex(0x1b2230), quiet: ink.Hex(0x5a6472), wire: ink.Hex(0xa7aeb8), str: ink.Hex(0x79828e),
		root: ink.Hex(0x20304f), onRoot: ink.Hex(0xffffff), tone: ink.Hex(0xf2cf93), onTone: ink.Hex(0x1b2230),
		other: ink.Hex(0xffffff), onOther: ink.Hex(0x1b2230), outline: ink.Hex(0x20304f), faint: ink.Hex(0x9aa3af),
		accent: ink.Hex(0xa23b22), mark: ink.Hex(0x5a6472),
	}
}

func dark() palette {
	return palette{
		paper: ink.Hex(0x14181f), ink: ink.Hex(0xf1ede2), quiet: ink.Hex(0xa9b2bf), wire: ink.Hex(0x4c5766), str: ink.Hex(0x7f8a99),
		root: ink.Hex(0xf7f1e3), onRoot: ink.Hex(0x14181f), tone: ink.Hex(0xd09a3e), onTone: ink.Hex(0x14181f),
		other: ink.Hex(0x14181f), onOther: ink.Hex(0xf1ede2), outline: ink.Hex(0xf1ede2), faint: ink.Hex(0x76818f),
		accent: ink.Hex(0xff9f80), mark: ink.Hex(0xa9b2bf),
	}
}
