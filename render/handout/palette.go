package handout

import (
	"math"

	"example.org/lickwright/render/internal/engrave"
	"example.org/lickwright/render/internal/ink"
)

// The colours of the sheet: dark ink on white paper, with a quieter ink for
// what stands back and one colour for what is asked. They are the same in the
// style sheet; a test holds them together.
const (
	paperColor  = 0xffffff
	inkColor    = 0x1b2430
	quietColor  = 0x4b5662
	stringColor = 0x77828d // lines only
	askColor    = 0x8a3b12
)

// MinContrast is the least contrast of text on the sheet. Source: WCAG 2.2,
// success criterion 1.4.3 (level AA).
const minContrast = 4.5

// contrast returns the contrast ratio of two colours, from 1 to 21. Source:
// WCAG 2.2, definitions of contrast ratio and relative luminance.
func contrast(a, b ink.Color) float64 {
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

func luminance(c ink.Color) float64 {
	linear := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

// legible darkens a colour until it can be read on the paper.
func legible(c ink.Color) ink.Color {
	for contrast(c, ink.Hex(paperColor)) < minContrast {
		c.R, c.G, c.B = uint8(float64(c.R)*0.92), uint8(float64(c.G)*0.92), uint8(float64(c.B)*0.92)
	}
	return c
}

// colorOf returns the colour of what stands on the page for a purpose.
func colorOf(class string) ink.Color {
	switch class {
	case "string":
		return ink.Hex(stringColor)
	case "string-name", "row-name", "bar-number", "extent":
		return ink.Hex(quietColor)
	case "ring", "blank":
		return ink.Hex(askColor)
	}
	return ink.Hex(inkColor)
}

// labelColor returns the colour that an annotation asks for, if it does.
func labelColor(t *engrave.Text) (ink.Color, bool) {
	if t.Color == "" {
		return ink.Color{}, false
	}
	var c ink.Color
	if len(t.Color) != 7 || t.Color[0] != '#' {
		return c, false
	}
	var rgb uint32
	for _, d := range t.Color[1:] {
		v := uint32(0)
		switch {
		case '0' <= d && d <= '9':
			v = uint32(d - '0')
		case 'a' <= d && d <= 'f':
			v = uint32(d-'a') + 10
		case 'A' <= d && d <= 'F':
			v = uint32(d-'A') + 10
		default:
			return c, false
		}
		rgb = rgb<<4 | v
	}
	return legible(ink.Hex(rgb)), true
}
