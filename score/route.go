package score

// A Route is what a measure says to whoever plays about which one comes next,
// beside its repeats and endings. The zero value says nothing. What is printed
// of it (D.C., D.S. al Fine) is in [Words] as well. Names tell several marks of
// a kind apart; any text will do. Source: MusicXML 4.0, <sound>: segno and
// dalsegno, coda and tocoda are pairs of where a jump leads and where it is
// made.
type Route struct {
	Segno, Coda      string // the measure begins at a sign of that name
	DaCapo           bool   // at its end back to the beginning
	DalSegno, ToCoda string // at its end to the sign of that name
	Fine             bool   // the end, after a jump back
	ForwardRepeat    bool   // a repeat begins with it that no bar line shows
}
