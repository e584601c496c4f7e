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
	// Sections are the versions of Of in a file of several, in their order.
	Sections []sectionPromise `json:"sections,omitempty"`

	pieces int // that stand in the file one after the other; 0 for one
}

// A sectionPromise is what stands under one heading.
type sectionPromise struct {
	Heading   string `json:"heading"`
	Semitones *int   `json:"semitones,omitempty"`
	Exact     bool   `json:"exact,omitempty"`
}

// boundPromise is what a file claims in which results stand one after the
// other: each that it is the same music, moved.
func boundPromise(results []result) promise {
	p := promise{Of: results[0].promise.Of, pieces: len(results)}
	for _, r := range results {
		if r.promise.Of != p.Of || p.Of == "" {
			return promise{pieces: len(results)}
		}
		p.Sections = append(p.Sections, sectionPromise{r.heading, r.promise.Semitones, r.promise.Exact})
	}
	if len(results) == 1 {
		p.Semitones, p.Exact, p.Sections = p.Sections[0].Semitones, p.Sections[0].Exact, nil
	}
	return p
}
