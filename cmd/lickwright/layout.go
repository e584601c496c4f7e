package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
	"example.org/lickwright/transform/fingering"
)

// layoutFlags ask for scales or chords to be laid out on the neck.
type layoutFlags struct {
	scheme  schemeFlags
	neck    neckFlags
	write   writeFlags
	show    []string
	picking string
	run     string
	home    string
	fingers bool
	given   func(name string) bool
}

func (f *layoutFlags) add(cmd *cobra.Command) {
	f.scheme.add(cmd)
	f.scheme.holding = true
	f.neck.add(cmd)
	f.write.add(cmd)
	fl := cmd.Flags()
	fl.StringSliceVar(&f.show, "show", []string{"degrees"}, "of a layout: degrees, names, or both with a comma")
	fl.StringVar(&f.picking, "picking", "strict", "how the pick is used, by which string changes are judged: strict, swept or legato")
	fl.StringVar(&f.run, "run", "up", "way of the runs that are written out: up, down or both")
	fl.StringVar(&f.home, "home", "", `tonic that the degrees count from, if it is another one ("D" for the dorian view of C major)`)
	fl.BoolVar(&f.fingers, "fingers", false, "write the fingers of the left hand where the hand stands in one place")
	f.given = fl.Changed
}

// asked tells whether a layout is asked for; flags that make no sense without
// one are wrong usage then.
func (f *layoutFlags) asked() (bool, error) {
	if f.scheme.asked() {
		_, err := f.scheme.counts()
		return true, err
	}
	for _, name := range []string{"as", "output", "dir", "show", "picking", "run", "home", "fingers", "tuning", "capo", "neck-frets", "scale-length", "width", "force"} {
		if f.given(name) {
			return false, &usageError{fmt.Sprintf("--%s is for what is laid out on the neck", name), "say by which scheme, as in --scheme chord-shape or --position 5"}
		}
	}
	return false, nil
}

// A layoutItem is something that is laid out.
type layoutItem struct {
	tones fretboard.ToneSet
	chord *theory.Chord    // if it is a chord
	chain *fretboard.Chain // if it is a scale
	home  *theory.NoteName // what degrees count from; nil for its tonic
	made  []fretboard.Layout
}

// runLayout lays the items out and writes that as text, JSON or a score.
func (a *app) runLayout(f *layoutFlags, title string, items []layoutItem, asJSON bool) error {
	if err := f.check(); err != nil {
		return err
	}
	n, err := f.neck.neck()
	if err != nil {
		return err
	}
	home, err := parseHome(f.home)
	if err != nil {
		return err
	}
	for i := range items {
		it := &items[i]
		scheme, err := f.scheme.build(n, it.tones)
		if err != nil {
			return err
		}
		regions, err := scheme.Regions(n, it.tones)
		if err != nil {
			return &usageError{err.Error(), ""}
		}
		if f.scheme.frets == "" {
			regions = fretboard.Once(regions)
		}
		if title == "" {
			title = it.tones.Title + ", " + scheme.String()
			if len(regions) == 1 {
				title = it.tones.Title + ", " + regions[0].Name
			}
		}
		tones := it.tones
		if it.home = home; home != nil {
			tones = tones.Against(*home)
		}
		for _, r := range regions {
			it.made = append(it.made, r.Lay(tones))
		}
	}
	if f.write.as != "" || f.write.output != "" || f.write.dir != "" {
		return a.writeLayoutScore(f, title, n, items)
	}
	policy, err := fretboard.ParseStrokePolicy(f.picking)
	if err != nil {
		return flagError("picking", err)
	}
	v := viewLayout(title, n, items, f.neck.scale, policy)
	var text strings.Builder
	v.write(&text, f.show)
	return a.writeView(asJSON, v, &text)
}

func (f *layoutFlags) check() error {
	for _, s := range f.show {
		if s != "degrees" && s != "names" {
			return &usageError{fmt.Sprintf("--show: a layout shows degrees and names, not %q", s), didYouMean(s, []string{"degrees", "names"})}
		}
	}
	if _, err := f.way(); err != nil {
		return err
	}
	return f.write.check()
}

func (f *layoutFlags) way() (transform.Direction, error) {
	switch f.run {
	case "up":
		return transform.Rising, nil
	case "down":
		return transform.Falling, nil
	case "both":
		return transform.UpAndDown, nil
	}
	return 0, &usageError{fmt.Sprintf("--run: a run goes up, down or both, not %q", f.run), ""}
}

// A passageOf is passages that make one score where a format takes several.
type passageOf struct {
	heading  string // within the whole
	title    string // alone
	passages []transform.Passage
	key      *theory.Key
	layout   fretboard.Layout
}

// writeLayoutScore writes the layouts as a score: in tab each under a heading
// of its own, in MusicXML one after the other, with -d a file each.
func (a *app) writeLayoutScore(f *layoutFlags, title string, n fretboard.Neck, items []layoutItem) error {
	j := &job{app: a, write: f.write, say: &collector{}, sources: map[string][]byte{}}
	form, err := j.outputFormat(&input{format: formats()[0]})
	if err != nil {
		return err
	}
	if isPicture(form) {
		return a.writeLayoutPictures(f, title, n, items, form)
	}
	way, err := f.way()
	if err != nil {
		return err
	}
	var parts []passageOf
	for _, it := range items {
		for _, l := range it.made {
			parts = append(parts, it.passages(l, way, len(items) > 1, f.neck.scale))
		}
	}
	bound := form.bind != nil && f.write.dir == "" // all in one sheet
	if f.write.dir == "" && !form.joins && !bound && len(parts) > 1 {
		whole := passageOf{heading: title, key: parts[0].key}
		for _, p := range parts {
			whole.passages = append(whole.passages, p.passages...)
			if p.key == nil || whole.key == nil || *p.key != *whole.key {
				whole.key = nil
			}
		}
		parts = []passageOf{whole}
	}
	var outs []output
	var pages []page
	from := &input{name: title, base: fileWord(title)}
	for _, p := range parts {
		heading := title
		if f.write.dir != "" {
			heading = p.title
		}
		s := transform.LayOut(p.passages, transform.LayOutOptions{Title: heading, Neck: n, Key: p.key, Fingers: f.fingers})
		pages = append(pages, page{heading: p.heading, score: s, layouts: []fretboard.Layout{p.layout}, remarks: p.layout.Region.Remarks})
		if bound && len(pages) < len(parts) {
			continue
		}
		var buf bytes.Buffer
		opt := f.write.options(quietWords(j.say))
		switch {
		case bound:
			err = form.bind(&buf, binding{title: title, pages: pages, worksheet: f.write.worksheet}, opt)
		case form.bind != nil:
			err = form.bind(&buf, binding{title: heading, pages: pages[len(pages)-1:], worksheet: f.write.worksheet}, opt)
		default:
			err = form.write(&buf, s, opt)
		}
		if err != nil {
			return err
		}
		out := output{data: buf.Bytes(), from: from}
		switch {
		case f.write.dir != "":
			out.path = filepath.Join(f.write.dir, fileWord(heading)+form.extensions[0])
		case f.write.output != "-":
			out.path = f.write.output
		}
		outs = append(outs, out)
	}
	if len(outs) > 1 && f.write.dir == "" {
		var headings []string
		for _, p := range parts {
			headings = append(headings, p.heading)
		}
		outs = []output{{path: outs[0].path, data: joinUnderHeadings(headings, outs), from: from}}
	}
	for _, it := range items {
		for _, l := range it.made {
			if c := cautionOf(l, f.neck.scale); c != "" {
				j.say.add(score.Diagnostic{Severity: score.Warning, Code: "wide-stretch", Msg: l.Region.Name + ": " + c, Hint: strainHint})
			}
			for _, r := range l.Region.Remarks {
				j.say.add(score.Diagnostic{Severity: score.Info, Code: "layout-remark", Msg: l.Region.Name + ": " + r})
			}
			if len(l.Missing) > 0 {
				j.say.add(score.Diagnostic{Severity: score.Warning, Code: "layout-gap", Msg: l.Region.Name + ": no place for " + pitchNames(l.Missing)})
			}
		}
	}
	return j.finishLayout(outs)
}

// finishLayout says what there is to say and writes, by the rules of all
// commands.
func (j *job) finishLayout(outs []output) error {
	j.flush()
	if n := j.say.list.Count(score.Warning); j.write.strict && n > 0 {
		fmt.Fprintf(j.app.errOut, "%s, and --strict was said: nothing was written\n", plural(n, "warning"))
		return errPartly
	}
	if _, err := j.deliver(outs); err != nil {
		return err
	}
	return j.notDone(j.say.list.Count(score.NotDone))
}

// quietWords leaves out that a format has no words over the music: the
// titles of passages are headings there.
func quietWords(c *collector) func(score.Diagnostic) {
	return func(d score.Diagnostic) {
		if d.Code != "tab-lost-words" {
			c.add(d)
		}
	}
}

func joinUnderHeadings(headings []string, outs []output) []byte {
	var all bytes.Buffer
	for i, o := range outs {
		if i > 0 {
			all.WriteString("\n")
		}
		fmt.Fprintf(&all, "== %s ==\n\n", headings[i])
		all.Write(o.data)
		if !bytes.HasSuffix(o.data, []byte("\n")) {
			all.WriteString("\n")
		}
	}
	return all.Bytes()
}

// passages writes a layout out: a chord as it is held and then its arpeggio,
// a scale as a run.
func (it layoutItem) passages(l fretboard.Layout, way transform.Direction, several bool, scaleLength float64) passageOf {
	p := passageOf{heading: l.Region.Name, title: it.tones.Title + ", " + l.Region.Name, layout: l}
	if several {
		p.heading = p.title
	}
	if k, ok := transform.KeyForTones(l.Tones); ok && it.chord == nil {
		p.key = &k
	}
	title := p.heading
	if it.chord != nil {
		for _, v := range fingering.Voicings(l.Region, l.Tones, scaleLength) {
			p.passages = append(p.passages, transform.Held(v, *it.chord, title))
			title = ""
		}
	}
	run := transform.Run(l, way)
	run.Title = title
	p.passages = append(p.passages, run)
	return p
}

// fileWord makes a part of a file's name of a title.
func fileWord(s string) string {
	s = strings.ReplaceAll(s, "#", "-sharp")
	fields := strings.FieldsFunc(s, func(r rune) bool {
		return !('a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' || '0' <= r && r <= '9' || r == '-')
	})
	return strings.Join(fields, "-")
}

const strainHint = "warm up first, stop if it hurts or tingles, rest, and see a teacher or a clinician if it persists"

// cautionOf names every string that asks for a stretch beyond a comfortable
// span, and the length of string that is reckoned with; "" if there is none.
func cautionOf(l fretboard.Layout, scaleLength float64) string {
	var all []string
	for _, r := range l.WideStretches(scaleLength) {
		verb := "are "
		if len(all) > 0 {
			verb = ""
		}
		all = append(all, fmt.Sprintf("frets %d to %d on %s %s%.0f mm apart", r.From.Fret, r.To.Fret, theString(l.Region.Neck.Tuning, r.From.String), verb, r.MM))
	}
	if len(all) == 0 {
		return ""
	}
	return fmt.Sprintf("%s, beyond a comfortable span of about %.0f mm (on strings %.0f mm long)", strings.Join(all, "; "), fretboard.ComfortableSpan, scaleLength)
}

// theString names a string so that nobody has to know which one is the first:
// "the e string (the thinnest)", "the A string", "string 4 (D; 1 is the
// thinnest)" where others have its name.
func theString(t fretboard.Tuning, str int) string {
	name := t.Open(str).NoteName
	alike := 0
	for _, p := range t.Strings {
		if p.NoteName == name {
			alike++
		}
	}
	switch {
	case str == 1 && alike > 1:
		return fmt.Sprintf("the %s string (the thinnest)", strings.ToLower(name.Pretty()))
	case str == 1 || alike == 1:
		return fmt.Sprintf("the %s string", name.Pretty())
	case alike == 2 && t.Open(1).NoteName == name:
		return fmt.Sprintf("the low %s string", name.Pretty())
	}
	return fmt.Sprintf("string %d (%s; 1 is the thinnest)", str, name.Pretty())
}

func pitchNames(ps []theory.Pitch) string {
	names := make([]string, len(ps))
	for i, p := range ps {
		names[i] = p.String()
	}
	return strings.Join(slices.Compact(names), " ")
}
