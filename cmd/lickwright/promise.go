package main

// A promise is what a made file claims of itself; lickwright lesson writes it
// into the manifest of a lesson, by which lickwright lesson check proves it.
// What is left out is not promised. The names are those of the manifest.
type promise struct {
	File      string `json:"file"`                // below the lesson's folder, with slashes
	Key       string `json:"key,omitempty"`       // signature at the beginning: "Eb major"
	Scale     string `json:"scale,omitempty"`     // every note is of it: "A minor pentatonic"
	Frets     []int  `json:"frets,omitempty"`     // lowest and highest, from the capo
	Pages     int    `json:"pages,omitempty"`     // of a practice sheet
	Of        string `json:"of,omitempty"`        // the music that it is, moved as a whole
	Semitones *int   `json:"semitones,omitempty"` // by so much, octaves aside
	Exact     bool   `json:"exact,omitempty"`     // octaves count as well
	Home      string `json:"home,omitempty"`      // the tonic that degrees count from
}
