package engrave

// SignMeaning says in words what a sign looks like and what it asks a player
// to do; both are "" for signs that need no words. Names are those of
// [Engraving.Signs].
func SignMeaning(name string) (sign, meaning string) {
	switch name {
	case "whole":
		return "no stem", "whole note"
	case "breve":
		return "two short stems", "twice a whole note"
	case "half":
		return "short stem", "half note"
	case "rhythm tie":
		return "curve between stems", "the note sounds on; nothing is struck"
	case "dead":
		return "x", "dead note: struck with the string muted"
	case "ghost":
		return "( ) around a number", "barely sounded"
	case "held":
		return "( ) around a tied number", "still sounding; not struck again"
	case "grace":
		return "small number", "grace note, just before the next"
	case "tie":
		return "curve into ( )", "tie: the note sounds on"
	case "hammer":
		return "curve and H", "hammer-on"
	case "pull":
		return "curve and P", "pull-off"
	case "slur":
		return "curve", "slur: strike the first note only"
	case "slide":
		return "slanted line", "slide; strike the second note too"
	case "legato slide":
		return "slanted line and curve", "slide; strike the first note only"
	case "slide from or to nowhere":
		return "slanted line at one number", "slide in from, or out to, no fret in particular"
	case "bend":
		return "curved arrow", "bend, in whole tones: full is two frets, ½ one, ¼ a touch"
	case "pre-bend":
		return "straight arrow", "bend before you strike"
	case "release":
		return "arrow down", "let the bend back"
	case "bar":
		return "dip with a number", "tremolo bar, by so many whole tones"
	case "vibrato":
		return "wavy line", "vibrato"
	case "palm mute":
		return "P.M.", "palm mute, as far as the line goes"
	case "let ring":
		return "let ring", "let the notes sound into each other"
	case "harmonic":
		return "< > and harm.", "natural harmonic: touch the string over the fret wire"
	case "artificial harmonic":
		return "A.H.", "artificial harmonic: fret the number, touch at the one in < >"
	case "pinch harmonic":
		return "P.H.", "pinch harmonic: the thumb touches as you strike"
	case "tapped harmonic":
		return "T.H.", "tapped harmonic: tap the fret in < >"
	case "tap":
		return "T", "tap the string on the neck"
	case "trill":
		return "tr", "trill with the fret in brackets"
	case "tremolo":
		return "strokes through a stem", "repeat as fast as you can keep clean"
	case "strokes":
		return "open box, open wedge", "downstroke, upstroke of the pick"
	case "accent":
		return "wedge over a number", "accent"
	case "staccato":
		return "dot over a number", "short"
	case "tenuto":
		return "dash over a number", "full length"
	case "fermata":
		return "half circle and dot", "hold as long as you like"
	case "roll":
		return "wavy arrow", "roll the chord in the arrow's direction"
	case "repeat":
		return "two dots at a bar line", "repeat what is between them"
	case "ending":
		return "bracket and number", "bars for that time through only"
	case "segno":
		return "S with a stroke and two dots", "segno: D.S. leads back to here"
	case "coda":
		return "ring with a cross", "coda: To Coda leads on to here"
	case "da capo":
		return "D.C.", "da capo: once more from the beginning"
	case "dal segno":
		return "D.S.", "dal segno: once more from the segno"
	case "to coda":
		return "To Coda", "after going back: from here to the coda"
	case "fine":
		return "Fine", "after going back: the end"
	case "ring":
		return "ring around a number", "the notes asked for"
	case "unknown length":
		return "no stem at all", "the source does not say how long"
	}
	return "", ""
}
