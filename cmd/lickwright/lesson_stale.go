package main

import (
	"fmt"
	"path/filepath"
	"slices"

	"example.org/lickwright/internal/prove"
)

// kindOlder is a fault of a whole lesson: it is made of an older source.
const kindOlder = "older source"

// A staleSource is a source that was changed after the lesson was made, and how
// many files of the lesson are not what it is now.
type staleSource struct {
	path  string
	files int
}

// staleSources proves what is made of sources that were changed meanwhile. Their
// files would differ from them in every note; that is said once for a source.
type staleSources struct {
	dir   string
	made  map[string]string // checksums of the sources of which the lesson was made
	stale []staleSource
}

// changed tells whether a source is another one than the lesson was made of.
func (s *staleSources) changed(of string) bool {
	sum, said := s.made[of]
	return said && sum != sumOfFile(s.path(of))
}

func (s *staleSources) path(of string) string { return filepath.Join(s.dir, filepath.FromSlash(of)) }

// judge returns what was found in a file held to its source or, if that was
// changed and it shows, without.
func (s *staleSources) judge(of string, prove func(held bool) fileProof) fileProof {
	held := prove(true)
	if len(held.Faults) == 0 || of == "" || !s.changed(of) {
		return held
	}
	alone := prove(false)
	if len(alone.Faults) >= len(held.Faults) {
		return held
	}
	alone.Unproved = held.Unproved // as the source says it
	path := s.path(of)
	i := slices.IndexFunc(s.stale, func(o staleSource) bool { return o.path == path })
	if i < 0 {
		i = len(s.stale)
		s.stale = append(s.stale, staleSource{path: path})
	}
	s.stale[i].files++
	return alone
}

// proofs returns a proof for each changed source with its one fault.
func (s *staleSources) proofs() []fileProof {
	var list []fileProof
	for _, o := range s.stale {
		are := "files are"
		if o.files == 1 {
			are = "file is"
		}
		list = append(list, fileProof{File: o.path, Pages: []pageProof{}, Unproved: []string{}, Source: true, Faults: []faultView{{Kind: kindOlder,
			Msg: fmt.Sprintf("it was changed after the lesson was made of it, and %d %s still made of the older one: make the lesson again with lickwright lesson", o.files, are)}}})
	}
	return list
}

// sourceSums returns the checksums of the files outside of a lesson's own of
// which its files promise to be versions.
func sourceSums(dir string, promises []promise) map[string]string {
	own := map[string]bool{prove.ManifestName: true}
	for _, p := range promises {
		own[p.File] = true
	}
	sums := map[string]string{}
	for _, p := range promises {
		if p.Of == "" || own[p.Of] {
			continue
		}
		if sum := sumOfFile(filepath.Join(dir, filepath.FromSlash(p.Of))); sum != "" {
			sums[p.Of] = sum
		}
	}
	return sums
}
