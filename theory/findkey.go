package theory

import (
	"cmp"
	"math"
	"slices"
)

// A WeightedNote is a sound with how much it counts in key finding: its
// duration in quarter notes, or any other measure that is not negative.
type WeightedNote struct {
	MIDI   int
	Weight float64
}

// A KeyGuess is one of the 24 keys with how well the notes fit it.
type KeyGuess struct {
	Key Key
	// Fit is the correlation of the notes with the key's profile, -1 to 1.
	Fit float64
	// Confidence is the share of belief in this key, 0 to 1; the guesses of
	// one finding add up to 1.
	Confidence float64
}

// keyProfiles say how often each degree, by semitones above the tonic, occurs
// in a short stretch of music in major and in minor.
//
// Source: Temperley, Music and Probability (2007), ch. 6: the shares of
// segments of the Kostka-Payne corpus in which each degree sounds (values
// from memory).
var keyProfiles = [2][12]float64{
	Major: {0.748, 0.060, 0.488, 0.082, 0.670, 0.460, 0.096, 0.715, 0.104, 0.366, 0.057, 0.400},
	Minor: {0.712, 0.084, 0.474, 0.618, 0.049, 0.460, 0.105, 0.747, 0.404, 0.067, 0.133, 0.330},
}

// confidenceScale turns differences of fit into belief. It was set so that
// over stretches of one bar to many, of songs with known signatures, the mean
// confidence in the best guess does not exceed the share of right guesses; a
// test holds it to that.
const confidenceScale = 6.0

// FindKey guesses the major or minor key of notes by comparing how long each
// pitch class sounds with key profiles, after Krumhansl and Schmuckler. All
// 24 keys come back, the best first; [1] is the runner-up. It is nil if
// nothing sounds.
//
// The result is a guess. Few notes, pentatonics and modes fit several keys
// about equally well, and Confidence says so: below a half the key is open.
// Music in a church mode is reported as the nearest major or minor key.
//
// Source: Krumhansl, Cognitive Foundations of Musical Pitch (1990), ch. 4,
// for the method; see keyProfiles for the numbers.
func FindKey(notes []WeightedNote) []KeyGuess {
	var weights [12]float64
	total := 0.0
	for _, n := range notes {
		_, class := floorDiv(n.MIDI, 12)
		weights[class] += n.Weight
		total += n.Weight
	}
	if total <= 0 {
		return nil
	}
	fits := keyFits(&weights)
	return rankKeys(&fits)
}

// keyFits correlates weights with every key's profile: index tonic class + 12
// for minor. If all weights are equal nothing correlates and all are 0.
func keyFits(weights *[12]float64) (fits [24]float64) {
	for mode, profile := range keyProfiles {
		for tonic := range 12 {
			fits[12*mode+tonic] = correlation(weights, &profile, tonic)
		}
	}
	return fits
}

// correlation is Pearson's between weights and a profile moved up to a tonic.
func correlation(weights, profile *[12]float64, tonic int) float64 {
	var meanW, meanP float64
	for i := range 12 {
		meanW += weights[i] / 12
		meanP += profile[i] / 12
	}
	var cov, varW, varP float64
	for i := range 12 {
		w, p := weights[(i+tonic)%12]-meanW, profile[i]-meanP
		cov += w * p
		varW += w * w
		varP += p * p
	}
	if varW <= 1e-18 || varP <= 1e-18 {
		return 0
	}
	return cov / math.Sqrt(varW*varP)
}

// keyAt returns the key of an index of keyFits, spelled as musicians do.
func keyAt(i int) Key {
	mode := Mode(i / 12)
	for _, tonic := range PracticalTonics(mode) {
		if tonic.Class() == i%12 {
			return Key{tonic, mode}
		}
	}
	panic("theory: twelve practical tonics hold every pitch class")
}

// rankKeys sorts the keys by fit and shares out the belief.
func rankKeys(fits *[24]float64) []KeyGuess {
	guesses := make([]KeyGuess, len(fits))
	best := slices.Max(fits[:])
	sum := 0.0
	for i, fit := range fits {
		belief := math.Exp(confidenceScale * (fit - best))
		guesses[i] = KeyGuess{keyAt(i), fit, belief}
		sum += belief
	}
	for i := range guesses {
		guesses[i].Confidence /= sum
	}
	slices.SortStableFunc(guesses, func(a, b KeyGuess) int { return -cmp.Compare(a.Fit, b.Fit) })
	return guesses
}

// A KeySection is a stretch of bars in one key.
type KeySection struct {
	From, To int        // bars From to To-1, counted from 0
	Guesses  []KeyGuess // of the section's notes, its key first
}

// changePenalty is what a change of key must gain in fit, summed over bars.
// Source: after Temperley, The Cognition of Basic Musical Structures (2001),
// ch. 7, who gives the search and a penalty of this kind; the size is ours,
// for correlations, and was chosen on songs of known signatures.
const changePenalty = 3.0

// FindKeySections guesses the keys of music that may change key, given the
// notes of each bar. It finds the sequence of keys that fits the bars best
// when every change costs something, so that a passing chord does not make a
// section. Bars without notes go with their neighbours. It is nil if nothing
// sounds.
func FindKeySections(bars [][]WeightedNote) []KeySection {
	if len(bars) == 0 {
		return nil
	}
	// score[k] is the best total up to a bar that ends in key k.
	var score [24]float64
	from := make([][24]int8, len(bars))
	sounds := false
	for b := range bars {
		fits := windowFits(bars, b)
		if fits != nil {
			sounds = true
		}
		best := 0
		for k := range score {
			if score[k] > score[best] {
				best = k
			}
		}
		next := score
		for k := range score {
			from[b][k] = int8(k)
			if b > 0 && score[best]-changePenalty > score[k] {
				next[k], from[b][k] = score[best]-changePenalty, int8(best)
			}
			if fits != nil {
				next[k] += fits[k]
			}
		}
		score = next
	}
	if !sounds {
		return nil
	}
	k := 0
	for i := range score {
		if score[i] > score[k] {
			k = i
		}
	}
	var sections []KeySection
	end := len(bars)
	for b := len(bars) - 1; b >= 0; b-- {
		prev := int(from[b][k])
		if b == 0 || prev != k {
			sections = append(sections, sectionOf(bars, b, end, k))
			end, k = b, prev
		}
	}
	slices.Reverse(sections)
	return sections
}

// windowFits fits a bar together with half of its neighbours, since one bar
// alone may hold a single chord; nil if the bar is silent.
func windowFits(bars [][]WeightedNote, b int) *[24]float64 {
	var weights [12]float64
	own := 0.0
	for i := max(0, b-1); i <= min(len(bars)-1, b+1); i++ {
		share := 0.5
		if i == b {
			share = 1
		}
		for _, n := range bars[i] {
			_, class := floorDiv(n.MIDI, 12)
			weights[class] += share * n.Weight
			if i == b {
				own += n.Weight
			}
		}
	}
	if own <= 0 {
		return nil
	}
	fits := keyFits(&weights)
	return &fits
}

// sectionOf ranks the keys of a section by its own notes, but puts the key
// that the search chose first.
func sectionOf(bars [][]WeightedNote, from, to, key int) KeySection {
	guesses := FindKey(slices.Concat(bars[from:to]...))
	chosen := keyAt(key)
	if i := slices.IndexFunc(guesses, func(g KeyGuess) bool { return g.Key == chosen }); i > 0 {
		g := guesses[i]
		copy(guesses[1:i+1], guesses[:i])
		guesses[0] = g
	}
	return KeySection{from, to, guesses}
}

// SpelledLike returns the key, or its enharmonic equal, whose signature lies
// nearest to the names on the line of fifths: F♯ major for music written in
// sharps, G♭ major for music in flats. Without names it is the key itself.
func (k Key) SpelledLike(names []NoteName) Key {
	if len(names) == 0 {
		return k
	}
	mean := 0.0
	for _, n := range names {
		mean += float64(n.Fifths()) / float64(len(names))
	}
	best := k
	for _, f := range [...]int{k.Fifths() - 12, k.Fifths() + 12} {
		// The middle of a key's seven names lies two fifths above its signature.
		if math.Abs(float64(f)+2-mean) < math.Abs(float64(best.Fifths())+2-mean) {
			best = KeyOf(f, k.Mode)
		}
	}
	return best
}
