package prove

import (
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// A midiFile is what is read of a Standard MIDI File: notes, the pitch wheel,
// names and markers. Source: the Standard MIDI Files 1.0 specification and the
// MIDI 1.0 messages.
type midiFile struct {
	division int64 // ticks in a quarter note
	tracks   []midiTrack
	markers  []midiMarker // of all tracks, in order of time
	end      int64        // of the longest track, in ticks
}

type midiMarker struct {
	at   int64
	text string
}

type midiTrack struct {
	name   string
	notes  []midiNote // in order of time, low ones first
	wheels []midiWheel
}

// A midiNote is a key that is held for some ticks.
type midiNote struct {
	channel, key int
	on, off      int64
}

// A midiWheel is where the pitch wheel of a channel stands from a time on, in
// semitones.
type midiWheel struct {
	channel   int
	at        int64
	semitones float64
}

const clickChannel = 9 // channel 10, percussion of General MIDI

// errMIDIEnds says that a file is cut off.
var errMIDIEnds = errors.New("the file ends too early")

// readMIDIFile reads a file with all that is wrong in its form.
func readMIDIFile(data []byte) (f midiFile, wrong []string) {
	if len(data) < 14 || string(data[:4]) != "MThd" {
		return f, []string{"it is no Standard MIDI File"}
	}
	size := int(binary.BigEndian.Uint32(data[4:]))
	format, count, division := binary.BigEndian.Uint16(data[8:]), binary.BigEndian.Uint16(data[10:]), binary.BigEndian.Uint16(data[12:])
	switch {
	case size < 6 || size > len(data)-8:
		return f, []string{"its header has another length than it says"}
	case format > 1:
		return f, []string{fmt.Sprintf("it is of format %d; one music is of format 0 or 1", format)}
	case division == 0 || division&0x8000 != 0:
		return f, []string{"its times are not parts of quarter notes"}
	}
	f.division = int64(division)
	for rest := data[8+size:]; len(rest) > 0; {
		if len(rest) < 8 {
			return f, append(wrong, errMIDIEnds.Error())
		}
		n := int(binary.BigEndian.Uint32(rest[4:]))
		if n > len(rest)-8 {
			return f, append(wrong, errMIDIEnds.Error())
		}
		if string(rest[:4]) == "MTrk" {
			r := &midiReader{data: rest[8 : 8+n], file: &f, sounding: map[[2]int]int64{}, reach: map[int]float64{}}
			if err := r.track(); err != nil {
				wrong = append(wrong, fmt.Sprintf("track %d: %v", len(f.tracks)+1, err))
			}
			wrong = append(wrong, r.wrong...)
			r.notes()
			f.tracks = append(f.tracks, r.now)
		}
		rest = rest[8+n:]
	}
	if len(f.tracks) != int(count) {
		wrong = append(wrong, fmt.Sprintf("it says that it has %d tracks and has %d", count, len(f.tracks)))
	}
	slices.SortStableFunc(f.markers, func(a, b midiMarker) int { return int(a.at - b.at) })
	return f, wrong
}

// A midiReader reads a track.
type midiReader struct {
	data     []byte
	at       int64
	file     *midiFile
	now      midiTrack
	sounding map[[2]int]int64 // since when, by channel and key
	reach    map[int]float64  // of the wheel in semitones, by channel
	picked   [16][2]byte      // registered parameter
	wrong    []string
}

// number reads a number of variable length.
func (r *midiReader) number() (n int64, err error) {
	for range 4 {
		if len(r.data) == 0 {
			return 0, errMIDIEnds
		}
		b := r.data[0]
		r.data = r.data[1:]
		n = n<<7 | int64(b&0x7f)
		if b < 0x80 {
			return n, nil
		}
	}
	return 0, errors.New("a number has more than four bytes")
}

func (r *midiReader) take(n int64) ([]byte, error) {
	if n > int64(len(r.data)) {
		return nil, errMIDIEnds
	}
	b := r.data[:n]
	r.data = r.data[n:]
	return b, nil
}

func (r *midiReader) track() error {
	var status byte
	for {
		wait, err := r.number()
		if err != nil {
			return err
		}
		r.at += wait
		r.file.end = max(r.file.end, r.at)
		if len(r.data) == 0 {
			return errMIDIEnds
		}
		if r.data[0] >= 0x80 {
			status, r.data = r.data[0], r.data[1:]
		}
		switch {
		case status == 0xff:
			if len(r.data) == 0 {
				return errMIDIEnds
			}
			kind := r.data[0]
			r.data = r.data[1:]
			text, err := r.block()
			if err != nil {
				return err
			}
			if kind == 0x2f {
				if len(r.data) > 0 {
					return errors.New("something follows its end")
				}
				return nil
			}
			r.meta(kind, string(text))
			status = 0
		case status == 0xf0 || status == 0xf7:
			if _, err := r.block(); err != nil {
				return err
			}
			status = 0
		case status < 0x80 || status > 0xef:
			return errors.New("there is a message that no file may have")
		default:
			n := int64(2)
			if high := status & 0xf0; high == 0xc0 || high == 0xd0 {
				n = 1
			}
			msg, err := r.take(n)
			if err != nil {
				return err
			}
			if slices.ContainsFunc(msg, func(b byte) bool { return b > 0x7f }) {
				return errors.New("a message has a byte above 127")
			}
			r.message(status&0xf0, int(status&0x0f), msg)
		}
	}
}

// block reads bytes that are preceded by their number.
func (r *midiReader) block() ([]byte, error) {
	n, err := r.number()
	if err != nil {
		return nil, err
	}
	return r.take(n)
}

func (r *midiReader) meta(kind byte, text string) {
	switch kind {
	case 0x03:
		r.now.name = text
	case 0x06:
		r.file.markers = append(r.file.markers, midiMarker{r.at, text})
	}
}

func (r *midiReader) message(kind byte, channel int, msg []byte) {
	id := [2]int{channel, int(msg[0])}
	switch {
	case kind == 0x90 && msg[1] > 0:
		if _, on := r.sounding[id]; on {
			r.say("key %d of channel %d is struck while it sounds", id[1], channel+1)
		}
		r.sounding[id] = r.at
	case kind == 0x80 || kind == 0x90:
		since, on := r.sounding[id]
		if !on {
			r.say("key %d of channel %d ends and does not sound", id[1], channel+1)
			return
		}
		delete(r.sounding, id)
		if r.at <= since {
			r.say("key %d of channel %d has no length", id[1], channel+1)
		}
		r.now.notes = append(r.now.notes, midiNote{channel, id[1], since, r.at})
	case kind == 0xb0:
		switch msg[0] {
		case 101:
			r.picked[channel][0] = msg[1]
		case 100:
			r.picked[channel][1] = msg[1]
		case 6:
			if r.picked[channel] == [2]byte{} { // parameter 0: the reach of the wheel
				r.reach[channel] = float64(msg[1])
			}
		}
	case kind == 0xe0:
		reach, said := r.reach[channel]
		if !said {
			reach = 2 // if nothing is said. Source: General MIDI
		}
		value := (int(msg[1])<<7 | int(msg[0])) - 8192
		r.now.wheels = append(r.now.wheels, midiWheel{channel, r.at, float64(value) / 8192 * reach})
	}
}

func (r *midiReader) say(format string, args ...any) {
	text := fmt.Sprintf("track %d, quarter %.2f: ", len(r.file.tracks)+1, float64(r.at)/float64(r.file.division)+1)
	r.wrong = append(r.wrong, text+fmt.Sprintf(format, args...))
}

// notes sorts the notes of the track that was read.
func (r *midiReader) notes() {
	var open []string
	for id := range r.sounding {
		open = append(open, fmt.Sprintf("track %d: key %d of channel %d never ends", len(r.file.tracks)+1, id[1], id[0]+1))
	}
	slices.Sort(open)
	r.wrong = append(r.wrong, open...)
	slices.SortStableFunc(r.now.notes, func(a, b midiNote) int {
		if a.on != b.on {
			return int(a.on - b.on)
		}
		return a.key - b.key
	})
}

// parts lists the tracks of players: those with notes but the clicks and the
// held chords.
func (f midiFile) parts() []midiTrack {
	var list []midiTrack
	for _, t := range f.tracks {
		clicks := !slices.ContainsFunc(t.notes, func(n midiNote) bool { return n.channel != clickChannel })
		if len(t.notes) == 0 || clicks || t.name == "Chords" && t.notes[0].channel == 15 {
			continue
		}
		list = append(list, t)
	}
	return list
}

// wrongForm makes faults of what is wrong with the form of a file.
func wrongForm(wrong []string) []Fault {
	var faults []Fault
	for _, w := range wrong {
		faults = append(faults, Fault{Kind: Form, Msg: strings.TrimSpace(w)})
	}
	return faults
}
