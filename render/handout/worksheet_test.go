package handout

import (
	"fmt"
	"maps"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/transform"
)

// A worksheet and its answers hold the same music; what the one leaves blank
// the other says, and says right: the degrees are counted here anew from
// semitones over the tonic.
func TestWorksheetAndAnswers(t *testing.T) {
	sheet := keys(t, "amber-street.tab")
	sheet.Worksheet = true
	page := domOf(t, written(t, sheet))
	for _, id := range []string{"section", "answers"} {
		got := numbersOf(t, page, false)
		maps.DeleteFunc(got, func(l line, _ []numeral) bool { return !strings.HasPrefix(l.section, id) })
		assertNumbers(t, sheet, id, got)
	}

	names := [12]string{"1", "♭2", "2", "♭3", "3", "4", "♯4", "5", "♭6", "6", "♭7", "7"}
	for i, sec := range sheet.Sections {
		asked := labels(page, fmt.Sprintf("section-%d", i+1))
		answered := labels(page, fmt.Sprintf("answers-%d", i+1))
		tonic, _ := tonicOf(sec.Score)
		var want []string
		for n := range score.Notes(sec.Score) {
			want = append(want, names[((n.Sounding()-tonic)%12+12)%12])
		}
		require.Equal(t, want, answered, "section %d", i+1)
		assert.Len(t, asked, (len(want)+1)/2, "half of it is blank")
		assert.Subset(t, answered, asked)

		// how many are there?
		tasks := elementByID(page, fmt.Sprintf("answers-%d", i+1)).all(func(e *element) bool { return e.name == "li" && e.within("tasks") })
		require.Len(t, tasks, 3)
		_, rest, ok := strings.Cut(tasks[1].text, "Every ")
		require.True(t, ok)
		degree, rest, ok := strings.Cut(rest, ": ")
		require.True(t, ok)
		count := 0
		for _, d := range want {
			if d == degree {
				count++
			}
		}
		assert.Equal(t, strconv.Itoa(count), strings.TrimSpace(rest), degree)
		assert.Positive(t, count)
		prompts := elementByID(page, fmt.Sprintf("section-%d", i+1)).all(func(e *element) bool { return e.name == "li" && e.within("tasks") })
		require.Len(t, prompts, 3)
		assert.Contains(t, prompts[1].text, "of every "+degree+".")
		assert.Contains(t, prompts[2].text, "Fill in")
		for _, e := range sec.Score.Parts[0].Measures[0].Events {
			if k, ok := e.(*score.KeySignature); ok {
				assert.Contains(t, prompts[0].text, "counted from "+k.Key.Tonic.Pretty()+". ")
			}
		}
	}
	assert.NotContains(t, elementByID(page, "section-1").text, "Every ♭3: 4")
}

// tonicOf returns a key's tonic as a MIDI key number in some octave.
func tonicOf(s *score.Score) (int, bool) {
	for _, e := range s.Parts[0].Measures[0].Events {
		if k, ok := e.(*score.KeySignature); ok {
			return k.Key.Tonic.Class(), true
		}
	}
	return 0, false
}

func elementByID(page *element, id string) *element {
	return page.all(func(e *element) bool { return e.attrs["id"] == id })[0]
}

// labels returns the degrees under the music of a section, in order.
func labels(page *element, id string) []string {
	var out []string
	ofKind := func(e *element) bool { return e.is(score.LabelDegree) || e.is(score.LabelName) }
	for _, x := range elementByID(page, id).all(func(e *element) bool { return ofKind(e) && !ofKind(e.parent) }) {
		if !x.within("narrow") && x.within("system") {
			out = append(out, strings.Fields(x.text)...)
		}
	}
	return out
}

// The shape on the neck has its roots alone on the sheet, and all of its dots
// in the answers.
func TestShapeToFillIn(t *testing.T) {
	sheet := shapes(t)
	sheet.Sections = sheet.Sections[:5]
	sheet.Worksheet = true
	page := domOf(t, written(t, sheet))
	for i, sec := range sheet.Sections {
		l := sec.Layouts[0]
		roots := 0
		for _, s := range l.Spots {
			if s.Degree.Semitones() == 0 {
				roots++
			}
		}
		assert.Equal(t, roots, dots(page, fmt.Sprintf("section-%d", i+1)))
		assert.Equal(t, len(l.Spots), dots(page, fmt.Sprintf("answers-%d", i+1)))
		assert.Contains(t, elementByID(page, fmt.Sprintf("section-%d", i+1)).text, fmt.Sprintf("Every place that is the root of C is there, %d others are missing", len(l.Spots)-roots))
	}
}

func dots(page *element, id string) int {
	n := 0
	for _, e := range elementByID(page, id).all(func(e *element) bool { return e.within("neck") && e.is("note") }) {
		if e.attrs["data-string"] != "" {
			n++
		}
	}
	return n
}

// Without a key there is nothing to count from: names are asked for.
func TestWorksheetWithoutKey(t *testing.T) {
	page := domOf(t, written(t, Sheet{Worksheet: true, Sections: []Section{{Score: example(t, "kitchen-waltz.tab")}}}))
	text := elementByID(page, "section-1").text
	assert.Contains(t, text, "Write the name of each note")
}

// Music of one note has nothing to be filled in on the neck.
func TestWorksheetOfOneNote(t *testing.T) {
	s := example(t, "amber-street.tab").Clone()
	kept := false
	for _, m := range s.Parts[0].Measures {
		for c := range m.Chords() {
			if kept {
				c.Notes = nil
			}
			kept = kept || len(c.Notes) > 0
		}
	}
	w := workOf(s, 3, everything)
	assert.Len(t, w.blank, 1)
	assert.Len(t, w.tasks, 2)
	assert.Empty(t, workOf(&score.Score{}, 0, everything).tasks)
}

// A bent note is named by the note it reaches, on the sheet, in its answers,
// and in what is to be found: as annotate names it.
// Worked example, common practice: in A minor string 2 fret 8 is G, the minor
// seventh; bent a whole tone it is A, the tonic.
func TestWorksheetNamesBentNotesByTheirTarget(t *testing.T) {
	s := example(t, "amber-street.tab")
	var bent []*score.Note
	plain := 0
	w := workOf(s, 0, everything)
	for n := range score.Notes(w.score) {
		if b, ok := n.Bend(); ok {
			require.Equal(t, "G4", n.Pitch.String())
			require.Equal(t, score.Q(2, 1), b.Amount)
			bent = append(bent, n)
			require.Len(t, n.Annotations, 1)
			assert.Equal(t, "1", n.Annotations[0].Text)
		} else if n.Annotations[0].Text == "b7" {
			plain++
			assert.Equal(t, 7, n.Pitch.Class()) // G
		}
	}
	require.Len(t, bent, 1)
	require.Positive(t, plain)

	seen := false
	for turn := range 7 {
		w := workOf(s, turn, everything)
		for n := range w.ring {
			bend := false
			if _, bend = n.Bend(); bend {
				seen = true
				assert.Equal(t, "1", n.Annotations[0].Text)
			}
			assert.Equal(t, n.Sounding()%12 == 7, n.Annotations[0].Text == "b7")
		}
	}
	assert.True(t, seen, "the tonic is asked for in its turn")

	// Over the same notes annotate says the same.
	said, _ := transform.Annotate(s, transform.AnnotateOptions{})
	var want, got []string
	for n := range score.Notes(said) {
		for _, a := range n.Annotations {
			if a.Kind == score.LabelDegree {
				want = append(want, a.Text)
			}
		}
	}
	for n := range score.Notes(w.score) {
		got = append(got, n.Annotations[0].Text)
	}
	assert.Equal(t, want, got)
}

func everything(string) bool { return true }

// What is asked for is all that is asked, and nothing on the page says what is
// to be found; sheet and answers can be had apart, and say together what they
// say in one file.
func TestWhatAWorksheetAsksFor(t *testing.T) {
	tasksOf := func(s Sheet, id string) (out []string) {
		for _, e := range elementByID(domOf(t, written(t, s)), id).all(func(e *element) bool { return e.name == "li" && e.within("tasks") }) {
			out = append(out, e.text)
		}
		return out
	}
	begins := map[string]string{TaskName: "Write the degree", TaskFind: "Draw a ring", TaskShape: "Fill in the other notes"}
	for _, ask := range [][]string{{TaskName}, {TaskFind}, {TaskShape}, {TaskName, TaskShape}, {TaskFind, TaskShape}} {
		sheet := Sheet{Worksheet: true, Ask: ask, Sections: []Section{{Score: example(t, "amber-street.tab")}}}
		tasks := tasksOf(sheet, "section-1")
		require.Len(t, tasks, len(ask), "%v", ask)
		for i, name := range ask {
			assert.Contains(t, tasks[i], begins[name])
		}
		page := domOf(t, written(t, sheet))
		if ask[0] != TaskName {
			assert.Empty(t, labels(page, "section-1"), "%v", ask)
		}
		asksShape := ask[len(ask)-1] == TaskShape
		assert.Equal(t, asksShape, dots(page, "section-1") < dots(page, "answers-1"), "%v", ask)
		if ask[0] == TaskFind {
			assert.NotEmpty(t, labels(page, "answers-1"))
		}
	}

	sheet := keys(t, "amber-street.tab")
	sheet.Worksheet = true
	whole := domOf(t, written(t, sheet))
	sheet.Answers = AnswersLeftOut
	blank := domOf(t, written(t, sheet))
	sheet.Answers = AnswersOnly
	answers := domOf(t, written(t, sheet))
	has := func(page *element, id string) bool {
		return len(page.all(func(e *element) bool { return e.attrs["id"] == id })) > 0
	}
	assert.False(t, has(blank, "answers-1"))
	assert.False(t, has(answers, "section-1"))
	assert.NotContains(t, answers.text, "What to practise")
	for i := range sheet.Sections {
		q, a := fmt.Sprintf("section-%d", i+1), fmt.Sprintf("answers-%d", i+1)
		assert.Equal(t, elementByID(whole, q).text, elementByID(blank, q).text)
		assert.Equal(t, elementByID(whole, a).text, elementByID(answers, a).text)
	}
	for _, link := range answers.named("a") {
		assert.True(t, has(answers, strings.TrimPrefix(link.attrs["href"], "#")))
	}
}

// A bent note is named by the note that is heard, and the task says so, once.
// Source: common practice.
func TestBentNotesAreNamedByTheirTarget(t *testing.T) {
	bent := &score.Note{Pitch: theory.P(theory.G, 0, 4), Techniques: []score.Technique{score.Bend{Amount: score.Q(2, 1)}}}
	plain := &score.Note{Pitch: theory.P(theory.C, 0, 4)}
	for _, tt := range []struct {
		notes []*score.Note
		says  int
	}{{[]*score.Note{plain}, 0}, {[]*score.Note{plain, bent}, 1}} {
		for _, both := range []bool{true, false} {
			m := &score.Measure{Events: []score.Event{&score.KeySignature{Key: theory.Key{}, ModeSaid: true}}}
			for i, n := range tt.notes {
				m.Events = append(m.Events, &score.Chord{Common: score.Common{Onset: score.Q(int64(i), 1), Staff: 1}, Duration: score.Q(1, 1), Voice: 1, Notes: []*score.Note{n}})
			}
			s := &score.Score{Parts: []*score.Part{{ID: "P1", Measures: []*score.Measure{m}}}}
			w := workOf(s, 0, func(task string) bool { return both || task == TaskFind })
			said := 0
			for _, task := range w.tasks {
				said += strings.Count(task.Prompt, "named by the note it is bent to")
			}
			assert.Equal(t, tt.says, said)
		}
	}
}
