package tabtext

// A legend is what a file says of its own signs.
type legend struct {
	vIsStroke bool // v is a down-stroke, not vibrato
}

func (l *legend) vibrato(b byte) bool { return b != 'v' || l == nil || !l.vIsStroke }
