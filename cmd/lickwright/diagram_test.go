package main

import (
	"bytes"
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/theory/fretboard"
)

// The pictures that the README shows are what the program makes. Where a
// change is meant, LICKWRIGHT_WRITE_DOCS=1 makes them anew, to be looked at.
func TestReadmePictures(t *testing.T) {
	readme := read(t, filepath.Join(outside.Root(), "README.md"))
	commands := regexp.MustCompile("(?s)```console\n\\$ lickwright (diagram [^\n]*-o ([a-z-]+\\.svg)[^\n]*)\n.*?```\n\n!\\[[^]]+\\]\\(([^)]+)\\)").FindAllStringSubmatch(readme, -1)
	require.GreaterOrEqual(t, len(commands), 4, "pictures in the README, each below the command that makes it")
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(filepath.Join(dir, "testdata", "examples"), os.DirFS(filepath.Join(outside.Root(), "testdata", "examples"))))
	t.Chdir(dir)
	shown := map[string]bool{}
	for _, c := range commands {
		got := lickwright(shellFields(c[1])...)
		require.Equal(t, exitDone, got.code, "%s\n%s", c[1], got.err)
		made := read(t, c[2])
		path := filepath.Join(outside.Root(), filepath.FromSlash(c[3]))
		if os.Getenv("LICKWRIGHT_WRITE_DOCS") != "" {
			require.NoError(t, os.WriteFile(path, []byte(made), 0o666))
		}
		kept := read(t, path)
		assert.True(t, made == kept, "%s is not what %q makes", c[3], c[1])
		shown[filepath.Base(c[3])] = true
	}
	kept, err := filepath.Glob(filepath.Join(outside.Root(), "render", "diagram", "testdata", "*.svg"))
	require.NoError(t, err)
	for _, path := range kept {
		assert.True(t, shown[filepath.Base(path)], "%s is not shown in the README", path)
	}
}

func TestDiagramAsText(t *testing.T) {
	got := lickwright("diagram", "C", "major", "--shape", "E")
	assert.Equal(t, exitDone, got.code, got.err)
	// The E shape of C major, frets by string as method books print it: common
	// practice.
	for _, row := range []string{
		"e --(7)-|-{1}-|-----|-(2)-|", "B ------|-[5]-|-----|-(6)-|", "G --(2)-|-----|-[3]-|-(4)-|",
		"D --(6)-|-----|-(7)-|-{1}-|", "A --[3]-|-(4)-|-----|-[5]-|", "E --(7)-|-{1}-|-----|-(2)-|",
	} {
		assert.Contains(t, got.out, row)
	}
}

// In twelve keys a lick is twelve headings on one page, or twelve files.
func TestPicturesWhereverAScoreIsWritten(t *testing.T) {
	example := filepath.Join(outside.Root(), "testdata", "examples", "amber-street.tab")
	got := lickwright("convert", "--as", "svg", example)
	assert.Equal(t, exitDone, got.code, got.err)
	struck := 0
	for _, m := range regexp.MustCompile(`data-order="([^"]*)"`).FindAllStringSubmatch(got.out, -1) {
		struck += strings.Count(m[1], ",") + 1
	}
	assert.Equal(t, 23, struck, "the notes of the lick, as inspect counts them")
	assert.Contains(t, got.err, "note: a picture of the neck shows places and their order; rhythm")

	dir := t.TempDir()
	path := filepath.Join(dir, "keys.svg")
	got = lickwright("transpose", "--all-keys", "-o", path, example)
	assert.Equal(t, exitDone, got.code, got.err)
	svg := read(t, path)
	assert.Equal(t, 12, strings.Count(svg, "bars 3 to 4 (bar 4 from 22)</text>"))

	got = lickwright("transpose", "--by", "m3", "--as", "png", "-d", filepath.Join(dir, "keys"), example)
	assert.Equal(t, exitDone, got.code, got.err)
	files, err := filepath.Glob(filepath.Join(dir, "keys", "*.png"))
	require.NoError(t, err)
	assert.Len(t, files, 1)
	for _, f := range files {
		_, err := png.Decode(bytes.NewReader([]byte(read(t, f))))
		assert.NoError(t, err, f)
	}

	got = lickwright("scales", "C", "major", "--scheme", "chord-shape", "--as", "svg")
	assert.Equal(t, exitDone, got.code, got.err)
	assert.Equal(t, 6, strings.Count(got.out, `<g class="neck"`), "the whole neck and five positions")
	got = lickwright("chords", "Dm7 G7", "--frets", "5-9", "--as", "svg")
	assert.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.out, ">Dm7</text>")
}

// Every string with a wide stretch is named with its unit and the length of
// string, which is that of the instrument: frets 1 to 5 of 648 mm are 126 mm
// apart, 2 to 5 of a bass of 864 mm 122 mm, by the formula of equal temperament;
// a bass of 30 inches (762 mm) has 108 mm there.
func TestWideStretchesAreNamed(t *testing.T) {
	for _, tt := range []struct {
		args  []string
		want  []string
		never string
	}{
		{[]string{"A harmonic minor", "--scheme", "notes-per-string", "--notes", "3"}, []string{
			"frets 1 to 5 on the B string are 126 mm apart; frets 1 to 5 on the e string (the thinnest) 126 mm apart, beyond a comfortable span of about 100 mm (on strings 648 mm long)",
			"frets 1 to 5 on the low E string are 126 mm apart; frets 2 to 6 on the D string 119 mm apart"}, "864"},
		{[]string{"B minor pentatonic", "--tuning", "bass", "--scheme", "chord-shape"}, []string{
			"frets 2 to 5 on the E string are 122 mm apart; frets 2 to 5 on the A string 122 mm apart, beyond a comfortable span of about 100 mm (on strings 864 mm long)"}, "648"},
		{[]string{"B minor pentatonic", "--tuning", "bass", "--scheme", "chord-shape", "--scale-length", "762"}, []string{"are 108 mm apart", "(on strings 762 mm long)"}, "864"},
		{[]string{"A harmonic minor", "--tuning", "ukulele", "--scheme", "chord-shape"}, nil, "wide stretch"},
	} {
		for _, command := range []string{"diagram", "scales"} {
			if command == "scales" {
				tt.args = append(tt.args, "--as", "tab")
			}
			got := lickwright(append([]string{command}, tt.args...)...)
			assert.Equal(t, exitDone, got.code, got.err)
			for _, want := range tt.want {
				assert.Contains(t, got.err, want, "%s %v", command, tt.args)
			}
			assert.NotContains(t, got.err, tt.never)
		}
	}
}

// A grip of a tuning without lettered shapes is drawn once and named by what
// is held. Source: the open C7 of a ukulele, common practice.
func TestGripsAreNamedAsTheyAreHeld(t *testing.T) {
	got := lickwright("diagram", "C7", "--tuning", "ukulele")
	assert.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.out, "root on the C string, open")
	grips := regexp.MustCompile(`(?m)^root on .*$`).FindAllString(got.out, -1)
	assert.NotEmpty(t, grips)
	assert.Len(t, slices.Compact(slices.Sorted(slices.Values(grips))), len(grips), "%v", grips)
}

func TestDiagramFrames(t *testing.T) {
	dir := t.TempDir()
	got := lickwright("diagram", "C major", "--shape", "E", "--draw", "chain", "--frames", "--pixels", "480", "-d", dir)
	require.Equal(t, exitDone, got.code, got.err)
	files, err := filepath.Glob(filepath.Join(dir, "*.png"))
	require.NoError(t, err)
	var names []string
	for _, f := range files {
		names = append(names, filepath.Base(f))
		img, err := png.Decode(bytes.NewReader([]byte(read(t, f))))
		require.NoError(t, err)
		assert.Equal(t, 480, img.Bounds().Dx())
		assert.Equal(t, 270, img.Bounds().Dy())
		_, _, _, alpha := img.At(1, 1).RGBA()
		assert.Zero(t, alpha, "transparent")
	}
	assert.Equal(t, []string{"C-major-01-E-shape-C.png", "C-major-02-E-shape-C-arpeggio.png", "C-major-03-E-shape-Cmaj7-arpeggio.png",
		"C-major-04-E-shape-C-major-pentatonic.png", "C-major-05-E-shape-C-major.png"}, names)

	steps := filepath.Join(dir, "steps")
	got = lickwright("diagram", filepath.Join(outside.Root(), "testdata", "examples", "amber-street.tab"), "--frames", "--as", "svg", "-d", steps)
	require.Equal(t, exitDone, got.code, got.err)
	files, err = filepath.Glob(filepath.Join(steps, "*.svg"))
	require.NoError(t, err)
	assert.Len(t, files, 24, "23 notes, and all of them")
}

func TestDiagramOverChords(t *testing.T) {
	got := lickwright("diagram", "C major", "--position", "5", "--over", "Dm7 | G7 | Cmaj7", "--show", "functions")
	assert.Equal(t, exitDone, got.code, got.err)
	for _, heading := range []string{"over Dm7", "over G7", "over Cmaj7"} {
		assert.Contains(t, got.out, heading)
	}
	assert.Equal(t, 2+2+3, strings.Count(got.out, "{R}"), "D on strings 5 and 3, G on 4 and 2, C on 6, 3 and 1 of position V")
}

func TestDiagramOfGivenFrets(t *testing.T) {
	for frets, chord := range map[string]string{"x 3 2 0 1 0": "C", "x32010": "C", "2,4,4,3,2,2": "F♯", "x-0-2-2-1-0": "Am"} {
		got := lickwright("diagram", frets, "--as", "svg")
		assert.Equal(t, exitDone, got.code, got.err)
		assert.Contains(t, got.out, ">"+chord+"</text>", frets)
	}
}

func TestDiagramSaysWhatIsWrong(t *testing.T) {
	dir := t.TempDir()
	taken := filepath.Join(dir, "taken.svg")
	require.NoError(t, os.WriteFile(taken, []byte("mine"), 0o666))
	example := filepath.Join(outside.Root(), "testdata", "examples", "amber-street.tab")
	for args, want := range map[string]string{
		"":                        "nothing to draw",
		"nothing":                 "is no chord",
		"N.C.":                    "names no chord",
		"dorian":                  "has no tonic",
		"C major --draw postions": "did you mean positions?",
		"C major --draw boxes":    "need a scheme",
		"C major --show degres":   "did you mean degrees?",
		"C major --show degrees,names,fingers,order,roles": "room for one thing inside",
		"C major --spacing wide":                           "neither even nor true",
		"C major --frames":                                 "-d FOLDER",
		"C major --frames -d x --trail 2":                  "--trail is for files",
		example + " --ahead 1":                             "--trail and --ahead are for --frames",
		example + " --frames -d x --ahead -1":              "0 or more",
		"C major -o x.gif":                                 "no format of pictures",
		"C major -o x.html":                                "scales, chords and convert write html",
		"C major --pixels 9 -o x.svg":                      "--pixels is for png",
		"C major --pixels -9 -o x.png":                     "1 to 20000",
		"C major --position 99":                            "fret 1 to 22",
		"C major --frets 0-30":                             "0 to 22",
		"C major --home H":                                 "--home",
		"C major --shape E --over Q":                       "--over",
		"C major --time 3/4":                               "--time is for files",
		"C major -o " + taken:                              "exists already",
		`"x 3 2 0 1"`:                                      "the neck has 6 strings",
		`"x 3 2 0 1 40"`:                                   "ends at 22",
		`"x x x x x x"`:                                    "no string is played",
		`"x 3 2 0 1 0" --shape C`:                          "given frets need no scheme",
		dir:                                                "is a folder",
		"no-such-file.tab":                                 "no such file",
		example + " --shape E":                             "has its own",
		example + " --frets 9-12":                          "lie beyond frets 9 to 12",
		example + " --over \"Am7 | D7\"":                   "over one chord",
		example + " --part 7":                              "there is no part",
		"C major --left-handed --uprigth":                  "did you mean --upright?",
		"C major --shape E --tuning nonesuch":              "tuning",
		"C major --swing 2:1":                              "--swing is about music that is written or heard",
		example + " --tempo 90":                            "lickwright convert makes sheets",
		example + " --worksheet -o x.svg":                  "--worksheet is about music",
	} {
		got := lickwright(append([]string{"diagram"}, shellFields(args)...)...)
		assert.NotEqual(t, exitDone, got.code, args)
		assert.Contains(t, got.err, want, args)
		assert.NotContains(t, got.err, "fault of the program", args)
		assert.Empty(t, got.out, args)
	}
	assert.Equal(t, "mine", read(t, taken))
}

// Every example of the help works.
func TestDiagramExamples(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(filepath.Join(dir, "testdata", "examples"), os.DirFS(filepath.Join(outside.Root(), "testdata", "examples"))))
	t.Chdir(dir)
	for line := range strings.Lines(diagramExample) {
		args := shellFields(strings.TrimSpace(line))
		require.Equal(t, "lickwright", args[0])
		got := lickwright(args[1:]...)
		assert.Equal(t, exitDone, got.code, "%s\n%s", line, got.err)
	}
}

// Wide stretches carry the usual caution, once on a page.
func TestDiagramCaution(t *testing.T) {
	got := lickwright("diagram", "C major", "--scheme", "notes-per-string", "--notes", "3", "--as", "svg")
	assert.Equal(t, exitDone, got.code, got.err)
	assert.Equal(t, 1, strings.Count(got.out, `class="caution"`))
	assert.Contains(t, got.out, "see a teacher or a clinician")
	assert.Contains(t, got.err, "beyond a comfortable span")
	got = lickwright("diagram", "C major", "--position", "5", "--as", "svg")
	assert.NotContains(t, got.out, `class="caution"`)
}

// A caution names the string so that nobody has to know where counting begins.
// Source: tunings as package fretboard lists them; that the first string is the
// thinnest is common practice.
func TestCautionsNameTheString(t *testing.T) {
	for _, c := range []struct {
		tuning string
		str    int
		want   string
	}{
		{"standard", 1, "the e string (the thinnest)"}, {"standard", 6, "the low E string"}, {"standard", 5, "the A string"},
		{"bass", 1, "the G string"}, {"ukulele", 4, "the G string"}, {"dadgad", 4, "string 4 (D; 1 is the thinnest)"}, {"dadgad", 1, "the d string (the thinnest)"},
		{"half-step-down", 6, "the low E♭ string"},
	} {
		tuning, err := fretboard.ParseTuning(c.tuning)
		require.NoError(t, err)
		assert.Equal(t, c.want, theString(tuning, c.str), c.tuning)
	}
}

// The help lists no flags that say nothing about pictures, and says what the
// house is.
func TestDiagramHelp(t *testing.T) {
	got := lickwright("diagram", "--help")
	assert.Equal(t, exitDone, got.code)
	for _, name := range notOfPictures() {
		assert.NotContains(t, got.out, "--"+name+" ", name)
	}
	assert.Contains(t, strings.Join(strings.Fields(got.out), " "), "the root of the chord is a house")
}

// The title of a page is not said again over its pictures, however it is
// spelled.
func TestTitlesAreSaidOnce(t *testing.T) {
	for _, chord := range []string{"Am7", "Ebmaj7", "F#m7b5"} {
		got := lickwright("diagram", chord, "--shape", "D", "--as", "svg", "--legend=false")
		require.Equal(t, exitDone, got.code, got.err)
		heads := regexp.MustCompile(`class="(?:head|title)"[^>]*>([^<]*)<`).FindAllStringSubmatch(got.out, -1)
		require.Len(t, heads, 3, chord)
		assert.Equal(t, "D shape", heads[1][1], chord)
		assert.Equal(t, "D shape", heads[2][1], chord)
		assert.NotRegexp(t, "^.b|#", heads[0][1], "as it is printed")
	}
}

// What is drawn again over another chord says that its places are the same.
func TestSamePlacesAreSaid(t *testing.T) {
	got := lickwright("diagram", "D dorian", "--shape", "A", "--over", "Dm7 | G7 | Cmaj7", "--as", "svg")
	require.Equal(t, exitDone, got.code, got.err)
	text := strings.Join(regexp.MustCompile(`class="remark"[^>]*>([^<]*)<`).FindAllString(got.out, -1), " ")
	assert.Equal(t, 2, strings.Count(text, "the same places as over Dm7"), text)
}

// A chord and its arpeggio stand side by side the same way up, with fingers.
func TestChordAndArpeggioStandTheSameWay(t *testing.T) {
	got := lickwright("diagram", "Am7", "--shape", "E", "--as", "svg")
	require.Equal(t, exitDone, got.code, got.err)
	for _, panel := range strings.Split(got.out, `<g class="neck"`)[1:] {
		first := regexp.MustCompile(`<line x1="([^"]*)" y1="([^"]*)" x2="([^"]*)" y2="([^"]*)"[^>]*class="string"`).FindStringSubmatch(panel)
		require.NotNil(t, first, panel[:min(len(panel), 400)])
		assert.Equal(t, first[1], first[3], "strings run downwards")
		notes := strings.Count(panel, `<g class="note`)
		assert.Equal(t, notes, strings.Count(panel, "data-finger="), "every note has its finger")
	}
}

// What a picture of few pixels has no room for is said.
func TestDiagramOfFewPixels(t *testing.T) {
	path := filepath.Join(t.TempDir(), "small.png")
	got := lickwright("diagram", "C major", "--shape", "E", "--pixels", "200", "-o", path)
	require.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.err, "at a width of 200 pixels there is no room for what the shapes mean")
	img, err := png.Decode(bytes.NewReader([]byte(read(t, path))))
	require.NoError(t, err)
	assert.Equal(t, 200, img.Bounds().Dx())
}

// Every flag of the way a picture looks is heard.
func TestDiagramLooks(t *testing.T) {
	plain := lickwright("diagram", "A minor pentatonic", "--shape", "E", "--as", "svg").out
	seen := map[string]string{plain: "plain"}
	for _, flag := range []string{"--upright", "--left-handed", "--dark", "--spacing=true", "--legend=false", "--show=names", "--show=fingers", "--show=functions,names", "--home=C", "--over=C6", "--capo=2", "--draw=neck", "--draw=boxes", "--draw=chain"} {
		got := lickwright("diagram", "A minor pentatonic", "--shape", "E", "--as", "svg", flag)
		assert.Equal(t, exitDone, got.code, got.err)
		assert.Empty(t, seen[got.out], "%s makes the same picture", flag)
		seen[got.out] = fmt.Sprint(flag)
	}
}
