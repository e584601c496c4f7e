package main

import (
	"errors"
	"fmt"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"example.org/lickwright/score"
)

// A lessonFile is a lesson as its file describes it.
type lessonFile struct {
	name    string // of the file
	title   string
	into    string // the folder that the file names; "" for none
	sources []string
	reading []setting // flags that say what the sources leave out
	steps   []*lessonStep
}

// A lessonStep is one thing to be made.
type lessonStep struct {
	name    string
	number  int // from 1
	at      score.Pos
	command string
	kind    stepKind
	flags   []setting
	said    []string      // names of all flags, the wrong ones too
	of      []string      // words or paths; nil for the source
	ofSteps []*lessonStep // whose files it works on
	targets []stepTarget
}

// A setting is a flag and its value.
type setting struct {
	flag   string
	values []string // one, or the items of a list
	list   bool
	at     score.Pos // of the value
}

// A stepTarget is a file or a folder that a step makes.
type stepTarget struct {
	path   string // below the lesson's folder, with slashes
	folder bool
	format string // of the files in the folder; "" for that of the source
	// answers says which part of a worksheet the target gets, as --answers
	// does; "" for what the step's flags say.
	answers string
}

// is tells whether what the target holds has a format.
func (t stepTarget) is(format string) bool {
	if t.folder {
		return formatName(t.format) == format
	}
	f, ok := formatOfPath(t.path)
	return ok && f.name == format
}

// title names a step in messages.
func (s *lessonStep) title() string {
	if s.name != "" {
		return s.name
	}
	return fmt.Sprintf("step %d (%s)", s.number, s.command)
}

// A lessonReader reads a lesson file and gathers what is wrong with it.
type lessonReader struct {
	name     string
	commands []stepKind
	faults   score.Diagnostics
}

// readLesson reads a lesson file. What is wrong with it is of type
// [score.Diagnostics], all of it at once, with line and column.
func readLesson(data []byte, name string, commands []stepKind) (*lessonFile, error) {
	r := &lessonReader{name: name, commands: commands}
	var doc yaml.Node
	if err := yaml.Unmarshal(data, &doc); err != nil {
		r.syntax(err)
		return nil, r.faults
	}
	l := &lessonFile{name: name}
	if doc.Kind == 0 || len(doc.Content) == 0 {
		r.fault(score.Pos{File: name, Line: 1, Col: 1}, "there is nothing in it", "lickwright lesson --help shows what a lesson file looks like")
		return nil, r.faults
	}
	top := resolved(doc.Content[0])
	var steps *yaml.Node
	r.mapping(top, "a lesson", func(key string, k, v *yaml.Node) {
		switch key {
		case "lesson":
			l.title = r.text(v)
		case "source":
			l.sources = r.texts(v)
		case "into":
			l.into = r.inside(v, r.text(v))
		case "steps":
			steps = v
		default:
			if !slices.Contains(readingFlags(), key) {
				r.unknown(k, "a lesson", append([]string{"lesson", "source", "into", "steps"}, readingFlags()...))
				return
			}
			set := r.setting(key, v)
			if r.try(stepKind{name: "convert", make: newConvertCmd}, set) {
				l.reading = append(l.reading, set)
			}
		}
	})
	if steps == nil {
		if top.Kind == yaml.MappingNode {
			r.fault(r.pos(top), "it has no steps", "write steps: and below it what is to be made")
		}
		return nil, r.faults
	}
	if steps.Kind != yaml.SequenceNode || len(steps.Content) == 0 {
		r.fault(r.pos(steps), "steps has to be a list", "begin each step with a hyphen: - transpose: {to: E}")
		return nil, r.faults
	}
	for i, n := range steps.Content {
		if s := r.step(resolved(n), l, i+1); s != nil {
			l.steps = append(l.steps, s)
		}
	}
	r.targets(l)
	if len(r.faults) > 0 {
		r.faults.Sort()
		return nil, r.faults
	}
	for i, p := range l.sources {
		l.sources[i] = filepath.Join(filepath.Dir(name), filepath.FromSlash(p))
	}
	return l, nil
}

// readingFlags are the flags of all commands that read which a lesson may say
// once for its source.
func readingFlags() []string {
	return []string{"key", "tuning", "capo", "neck-frets", "time", "tempo", "part", "trust"}
}

func (r *lessonReader) pos(n *yaml.Node) score.Pos {
	return score.Pos{File: r.name, Line: max(n.Line, 1), Col: max(n.Column, 1), Offset: n.Line<<16 + n.Column}
}

func (r *lessonReader) fault(at score.Pos, msg, hint string) {
	r.faults = append(r.faults, score.Diagnostic{Severity: score.Error, Code: "lesson", Pos: at, Msg: msg, Hint: hint})
}

// syntax tells of text that is no YAML. The library says the line only.
func (r *lessonReader) syntax(err error) {
	line, msg := 1, strings.TrimPrefix(err.Error(), "yaml: ")
	if m := regexp.MustCompile(`line (\d+): `).FindStringSubmatchIndex(msg); m != nil {
		line, _ = strconv.Atoi(msg[m[2]:m[3]])
		msg = msg[m[1]:]
	}
	r.fault(score.Pos{File: r.name, Line: line, Col: 1}, "this is no YAML: "+msg, "indent with spaces, and put quotes around text with : or # in it")
}

// resolved follows an alias to what it stands for.
func resolved(n *yaml.Node) *yaml.Node {
	for n.Kind == yaml.AliasNode {
		n = n.Alias
	}
	return n
}

// mapping visits the keys of a mapping in order.
func (r *lessonReader) mapping(n *yaml.Node, what string, visit func(key string, k, v *yaml.Node)) {
	if n.Kind != yaml.MappingNode {
		r.fault(r.pos(n), what+" has to be keys with values", "write them one per line, as in key: A minor")
		return
	}
	seen := map[string]int{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], resolved(n.Content[i+1])
		if line, twice := seen[k.Value]; twice {
			r.fault(r.pos(k), fmt.Sprintf("%s is said twice, in line %d already", k.Value, line), "say it once")
			continue
		}
		seen[k.Value] = k.Line
		visit(k.Value, k, v)
	}
}

func (r *lessonReader) unknown(k *yaml.Node, what string, known []string) {
	hint := didYouMean(k.Value, known)
	if hint == "" {
		hint = "there are " + strings.Join(known, ", ")
	}
	r.fault(r.pos(k), fmt.Sprintf("%s has nothing called %q", what, k.Value), hint)
}

// text reads a text or a number.
func (r *lessonReader) text(n *yaml.Node) string {
	if n.Kind != yaml.ScalarNode || n.Tag == "!!null" || strings.TrimSpace(n.Value) == "" {
		r.fault(r.pos(n), "here belongs a text or a number", "")
		return ""
	}
	return n.Value
}

// texts reads a text or a list of them.
func (r *lessonReader) texts(n *yaml.Node) []string {
	if n.Kind != yaml.SequenceNode {
		if s := r.text(n); s != "" {
			return []string{s}
		}
		return nil
	}
	var list []string
	for _, item := range n.Content {
		if s := r.text(resolved(item)); s != "" {
			list = append(list, s)
		}
	}
	if len(n.Content) == 0 {
		r.fault(r.pos(n), "the list is empty", "")
	}
	return list
}

func (r *lessonReader) setting(flag string, n *yaml.Node) setting {
	s := setting{flag: flag, at: r.pos(n), list: n.Kind == yaml.SequenceNode}
	if n.Kind == yaml.MappingNode {
		r.fault(s.at, fmt.Sprintf("the value of %s has to be a text, a number, true, false or a list", flag), "")
		return s
	}
	s.values = r.texts(n)
	return s
}

// inside checks that a path stays below the folder that it is in.
func (r *lessonReader) inside(n *yaml.Node, p string) string {
	clean := path.Clean(filepath.ToSlash(p))
	if p == "" {
		return p
	}
	if path.IsAbs(clean) || filepath.IsAbs(p) || clean == ".." || strings.HasPrefix(clean, "../") {
		r.fault(r.pos(n), fmt.Sprintf("%s leads out of the folder of the lesson", p), "name a place inside of it; -d on the command line names another folder")
	}
	return clean
}

// step reads a step.
func (r *lessonReader) step(n *yaml.Node, l *lessonFile, number int) *lessonStep {
	s := &lessonStep{number: number, at: r.pos(n)}
	before, misspelt := len(r.faults), false
	var formats []string
	var to, as, of, answers, commandAt *yaml.Node
	r.mapping(n, "a step", func(key string, k, v *yaml.Node) {
		switch key {
		case "step":
			s.name = r.text(v)
			if slices.ContainsFunc(l.steps, func(o *lessonStep) bool { return o.name == s.name && s.name != "" }) {
				r.fault(r.pos(v), fmt.Sprintf("there is a step called %q already", s.name), "give it another name")
			}
		case "to":
			to = v
		case "as":
			as = v
		case "of":
			of = v
		case "answers":
			answers = v
		default:
			i := slices.IndexFunc(r.commands, func(c stepKind) bool { return c.name == key })
			switch {
			case i < 0:
				known := []string{"step", "of", "to", "as", "answers"}
				for _, c := range r.commands {
					known = append(known, c.name)
				}
				r.unknown(k, "a step", known)
				misspelt = true
			case s.command != "":
				r.fault(r.pos(k), fmt.Sprintf("a step is one command, and this one has %s and %s", s.command, key), "begin a step of its own with a hyphen")
			default:
				s.command, s.kind, s.at, commandAt = key, r.commands[i], r.pos(k), v
			}
		}
	})
	if s.command == "" {
		if len(r.faults) == before {
			r.fault(s.at, "the step names no command", "write one, as in transpose: {to: E}")
		}
		return nil
	}
	r.flags(s, commandAt)
	r.of(s, l, of, n)
	r.ofPhrase(s)
	if as != nil {
		formats = r.texts(as)
		for i, f := range formats {
			item := as
			if as.Kind == yaml.SequenceNode {
				item = as.Content[i]
			}
			if _, err := formatNamed(f); err != nil {
				r.faultOf(r.pos(item), err)
			}
		}
	}
	if to == nil && misspelt {
		return s // it may be the one that is misspelt
	}
	if to == nil {
		r.fault(s.at, "the step does not say where to write", "say to: with a file, as in to: named.tab, or with a folder, as in to: keys/")
		return s
	}
	for i, p := range r.texts(to) {
		item := to
		if to.Kind == yaml.SequenceNode {
			item = to.Content[i]
		}
		r.target(s, item, p, formats, as)
	}
	if answers != nil {
		r.answers(s, answers)
	}
	r.formatsOf(s)
	return s
}

// target reads one of the targets of a step.
func (r *lessonReader) target(s *lessonStep, n *yaml.Node, p string, formats []string, as *yaml.Node) {
	clean := r.inside(n, p)
	if strings.HasSuffix(p, "/") {
		if len(formats) == 0 {
			formats = []string{""}
		}
		for _, f := range formats {
			s.targets = append(s.targets, stepTarget{path: clean, folder: true, format: f})
		}
		return
	}
	if as != nil {
		r.fault(r.pos(as), "as: goes with a folder; the name of a file says its format", fmt.Sprintf("write to: %s/, or name a file for each format", p))
	}
	if _, ok := formatOfPath(p); !ok {
		r.fault(r.pos(n), fmt.Sprintf("the name %q says no format", p), "end it with one of "+strings.Join(allExtensions(), " ")+", or with / if it is a folder")
	}
	s.targets = append(s.targets, stepTarget{path: clean})
}

func allExtensions() []string {
	var list []string
	for _, f := range formats() {
		list = append(list, f.extensions[0])
	}
	return list
}

// faultOf tells of an error at a place, with its hint.
func (r *lessonReader) faultOf(at score.Pos, err error) {
	var u *usageError
	if errors.As(err, &u) {
		r.fault(at, u.msg, u.hint)
		return
	}
	r.fault(at, err.Error(), "")
}

// flags reads the flags of a step and tries them on its command.
func (r *lessonReader) flags(s *lessonStep, n *yaml.Node) {
	if n.Kind == yaml.ScalarNode && n.Tag == "!!null" {
		return
	}
	r.mapping(n, "what "+s.command+" is to do", func(key string, k, v *yaml.Node) {
		if hint, ok := lessonsOwn()[key]; ok {
			r.fault(r.pos(k), fmt.Sprintf("%s is not said in a step", key), hint)
			return
		}
		known := s.kind.flagNames()
		if !slices.Contains(known, key) {
			r.unknown(k, s.command, known)
			return
		}
		set := r.setting(key, v)
		s.said = append(s.said, key)
		if r.tryAll(s.kind, set, v) {
			s.flags = append(s.flags, set)
		}
	})
}

// tryAll is try for a value that may be a list, each of whose wrong items is
// said.
func (r *lessonReader) tryAll(kind stepKind, set setting, n *yaml.Node) bool {
	before := len(r.faults)
	if r.try(kind, set) {
		return true
	}
	if !set.list || len(set.values) != len(n.Content) {
		return false
	}
	whole := slices.Clone(r.faults[before:])
	r.faults = r.faults[:before]
	for i, item := range n.Content {
		r.try(kind, setting{flag: set.flag, values: set.values[i : i+1], at: r.pos(item)})
	}
	if len(r.faults) == before { // only together they are wrong
		r.faults = append(r.faults, whole...)
	}
	return false
}

// try tells whether a command takes a setting, and says what is wrong with it.
func (r *lessonReader) try(kind stepKind, set setting) bool {
	if len(set.values) == 0 {
		return false // said already
	}
	err := kind.try(set)
	if err == nil {
		err = checkValue(kind, set)
	}
	if err != nil {
		r.faultOf(set.at, err)
	}
	return err == nil
}

// lessonsOwn are the flags that a lesson answers by itself.
func lessonsOwn() map[string]string {
	return map[string]string{
		"output": "say to: beside the command", "dir": "say to: beside the command, with a / at the end", "as": "say as: beside the command",
		"force": "say it on the command line", "strict": "say it on the command line", "quiet": "say it on the command line",
		"stop-on-error": "say it on the command line", "skip-unchanged": "a lesson always makes only what is not there yet",
		"diff": "a lesson writes", "json": "a lesson writes music and pages", "why-not": "a lesson writes music and pages", "help": "",
	}
}

// of reads what a step works on.
func (r *lessonReader) of(s *lessonStep, l *lessonFile, of, step *yaml.Node) {
	if of == nil {
		switch {
		case s.kind.words && !s.kind.needless:
			hint := "say of: beside the command, as in of: A minor pentatonic"
			if s.command == "diagram" && len(l.sources) > 0 {
				hint += ", or for the lick of: " + l.sources[0]
			}
			r.fault(s.at, s.command+" does not say what of", hint)
		case !s.kind.words && len(l.sources) == 0:
			r.fault(s.at, "there is nothing that "+s.command+" could work on", "say source: at the top of the lesson")
		}
		return
	}
	var texts []string
	if of.Kind == yaml.MappingNode {
		r.mapping(of, "what the step works on", func(key string, k, v *yaml.Node) {
			if key != "step" {
				r.unknown(k, "what the step works on", []string{"step"})
				return
			}
			for _, name := range r.texts(v) {
				i := slices.IndexFunc(l.steps, func(o *lessonStep) bool { return o.name == name })
				if i < 0 {
					var names []string
					for _, o := range l.steps {
						if o.name != "" {
							names = append(names, o.name)
						}
					}
					hint := didYouMean(name, names)
					if hint == "" {
						hint = "a step can work on the files of a step before it that has a name"
					}
					r.fault(r.pos(v), fmt.Sprintf("there is no step called %q before this one", name), hint)
					continue
				}
				s.ofSteps = append(s.ofSteps, l.steps[i])
			}
		})
		return
	}
	texts = r.texts(of)
	if s.command == "scales" || s.command == "routine" {
		if _, _, _, err := parseScale("", strings.Join(texts, " ")); err != nil && len(texts) > 0 {
			r.faultOf(r.pos(of), err)
		}
	}
	if !s.kind.words {
		for i, t := range texts {
			texts[i] = filepath.Join(filepath.Dir(r.name), filepath.FromSlash(t))
		}
	}
	s.of = texts
}

// ofPhrase finds flags that choose places for a scale or a chord, in a picture
// of a phrase, which has its own.
func (r *lessonReader) ofPhrase(s *lessonStep) {
	if s.command != "diagram" || len(s.ofSteps) == 0 && !slices.ContainsFunc(s.of, func(p string) bool {
		f, ok := formatOfPath(p)
		return ok && f.read != nil
	}) {
		return
	}
	for _, f := range s.flags {
		if slices.Contains(placesOfScales(), f.flag) {
			r.fault(f.at, fmt.Sprintf("%s chooses places for a scale or a chord, and this is a picture of a phrase, which has its own", f.flag),
				"a refinger step puts the phrase into a position; of: {step: NAME} draws what it made")
		}
	}
}

// placesOfScales are the flags of diagram that choose places for a scale or a
// chord.
func placesOfScales() []string {
	return []string{"scheme", "scheme-file", "shape", "notes", "degree", "hold-position", "position", "strings", "draw"}
}

// targets finds targets that are those of another step too.
func (r *lessonReader) targets(l *lessonFile) {
	seen := map[stepTarget]*lessonStep{}
	for _, s := range l.steps {
		for _, t := range s.targets {
			if t.path == "lesson-manifest.json" || t.path == recordName {
				r.fault(s.at, t.path+" is what the lesson itself writes", "name another file")
			}
			t.answers = ""
			switch other, ok := seen[t]; {
			case ok && other == s:
				r.fault(s.at, fmt.Sprintf("%s writes twice to %s", s.title(), t.path), "name another file or folder")
			case ok:
				r.fault(s.at, fmt.Sprintf("%s and %s both write to %s", other.title(), s.title(), t.path), "name another file or folder")
			}
			seen[t] = s
		}
	}
}
