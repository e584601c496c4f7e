package theory

// Values are written as text, as they are typed, wherever a program asks for
// that: in JSON a note is "F#" and a degree "b3". What is written reads back
// by the parser of its kind.

// MarshalText writes the name as it is typed.
func (n NoteName) MarshalText() ([]byte, error) { return []byte(n.String()), nil }

// MarshalText writes the pitch as it is typed.
func (p Pitch) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// MarshalText writes the degree as it is typed.
func (d Degree) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// MarshalText writes the interval in its short form.
func (i Interval) MarshalText() ([]byte, error) { return []byte(i.String()), nil }

// MarshalText writes the key as it is typed.
func (k Key) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// MarshalText writes the symbol as it is typed.
func (c Chord) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// MarshalText writes the scale's name, or its formula where it has none.
func (s Scale) MarshalText() ([]byte, error) { return []byte(s.Title()), nil }
