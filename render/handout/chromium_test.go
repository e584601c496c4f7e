package handout

import (
	"bytes"
	"context"
	"fmt"
	"html"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
)

// chromium runs a headless Chromium on a page and returns what it writes to
// its outputs.
func chromium(t *testing.T, page string, args ...string) (out, log string) {
	t.Helper()
	program := outside.Chromium(t)
	dir := t.TempDir()
	path := filepath.Join(dir, "sheet.html")
	require.NoError(t, os.WriteFile(path, []byte(page), 0o666))
	args = append([]string{
		"--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run", "--hide-scrollbars", "--enable-logging=stderr",
		"--user-data-dir=" + filepath.Join(dir, "profile"), "--disable-background-networking", "--disable-component-update", "--disable-sync",
		"--host-resolver-rules=MAP * ~NOTFOUND",
	}, args...)
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, program, append(args, (&url.URL{Scheme: "file", Path: path}).String())...)
	var stdout, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	require.NoError(t, cmd.Run(), stderr.String())
	return stdout.String(), stderr.String()
}

// The numbers that a browser holds are those of the model, and it has nothing
// to say about the page: no error, and nothing that the policy in the page had
// to stop, which is every request and script.
func TestBrowserReadsTheModel(t *testing.T) {
	sheet := keys(t, "slow-harbour.tab")
	out, log := chromium(t, written(t, sheet), "--dump-dom")
	assertNumbers(t, sheet, "section", numbersOf(t, domOf(t, out), false))
	assert.NotContains(t, log, "CONSOLE")

	// the proof can fail: the same policy stops and reports a picture
	broken := strings.Replace(written(t, sheet), "</main>", `<img src="https://example.org/a.png"></main>`, 1)
	_, log = chromium(t, broken, "--dump-dom")
	assert.Contains(t, log, "CONSOLE")
}

// measure is run on each page in a frame of its own, and says about it: the
// width of the window and of the page, how many elements are wider than the
// window, the height of the smallest numbers in tenths of a pixel, how many
// texts are cut, and systems for narrow and for wide screens that are shown.
const measure = `
const w = frame.contentWindow, d = w.document, all = (q) => [...d.querySelectorAll(q)];
const seen = e => e.getClientRects().length > 0;
const wide = all('body *').filter(e => seen(e) && e.getBoundingClientRect().right > w.innerWidth + 1).length;
const size = Math.min(...all('svg.tab').filter(seen).map(s => 12 * s.getBoundingClientRect().width / s.viewBox.baseVal.width));
const cut = all('figcaption,h1,h2,h3,p,li,dd').filter(e => seen(e) && e.scrollWidth > e.clientWidth + 1 && w.getComputedStyle(e).display != 'inline').length;
return [w.innerWidth, d.documentElement.scrollWidth, wide, Math.round(size * 10), cut, all('.narrow').filter(seen).length, all('.wide').filter(seen).length].join(' ');`

// On a phone nothing is wider than the screen, and the music is that for
// narrow screens; on a desk it is the other one. Numbers on a phone are at
// least 9 CSS pixels high.
func TestWidths(t *testing.T) {
	work := keys(t, "amber-street.tab")
	work.Worksheet = true
	names := []string{"keys", "shapes", "worksheet"}
	widths := []int{360, 1200}
	var frames strings.Builder
	for _, sheet := range []Sheet{keys(t, "seven-stairs.tab"), shapes(t), work} {
		text := regexp.MustCompile(`<meta http-equiv="Content-Security-Policy"[^>]*>`).ReplaceAllString(written(t, sheet), "")
		for _, width := range widths {
			fmt.Fprintf(&frames, `<iframe style="width:%dpx;height:800px;border:0" srcdoc="%s"></iframe>`, width, html.EscapeString(text))
		}
	}
	page := "<!DOCTYPE html><title>frames</title><body>" + frames.String() +
		"<pre></pre><script>addEventListener('load', () => { document.querySelector('pre').textContent = [...document.querySelectorAll('iframe')].map(frame => { " + measure +
		" }).join('\\n'); document.querySelectorAll('iframe').forEach(f => f.remove()) })</script>"
	out, _ := chromium(t, page, "--dump-dom")
	lines := strings.Split(domOf(t, out).named("pre")[0].text, "\n")
	require.Len(t, lines, len(names)*len(widths), out)
	for i, line := range lines {
		name, width := names[i/len(widths)], widths[i%len(widths)]
		var p []int
		for f := range strings.FieldsSeq(line) {
			n, err := strconv.Atoi(f)
			require.NoError(t, err)
			p = append(p, n)
		}
		require.Len(t, p, 7, name)
		assert.Equal(t, width, p[0])
		assert.LessOrEqual(t, p[1], p[0], "%s at %d: sideways scroll", name, width)
		assert.Zero(t, p[2], "%s at %d: something is wider than the screen", name, width)
		assert.Zero(t, p[4], "%s at %d: text is cut", name, width)
		if width == 360 {
			assert.GreaterOrEqual(t, p[3], 90, "%s: numbers are too small", name)
			assert.Positive(t, p[5])
		} else {
			assert.Zero(t, p[5])
			assert.Positive(t, p[6])
		}
	}
}

// Printed on A4 and on Letter, a lesson has a sensible number of pages: of
// sixty positions three stand on a page, of twelve keys two or three. Both
// papers are printed at once, as named pages of one document.
func TestPrinted(t *testing.T) {
	work := keys(t, "amber-street.tab")
	work.Worksheet = true
	for _, c := range []struct {
		name     string
		sheet    Sheet
		from, to int
	}{
		{"twelve keys and their answers", work, 9, 14},
		{"sixty positions", shapes(t), 18, 24},
	} {
		text := written(t, c.sheet)
		before, rest, _ := strings.Cut(text, "<main")
		body, after, _ := strings.Cut(rest, "</main>")
		page := strings.Replace(before, "</head>", "<style>@page paper-a{size:A4} @page paper-b{size:Letter} .a{page:paper-a} .b{page:paper-b}</style></head>", 1) +
			`<div class="a"><main` + body + `</main></div><div class="b"><main` + body + "</main></div>" + after
		pdf := filepath.Join(t.TempDir(), "sheet.pdf")
		chromium(t, page, "--no-pdf-header-footer", "--print-to-pdf="+pdf)
		data, err := os.ReadFile(pdf)
		require.NoError(t, err)
		for paper, box := range map[string]string{"A4": `/MediaBox \[0 0 59[45]`, "Letter": `/MediaBox \[0 0 612`} {
			n := len(regexp.MustCompile(box).FindAll(data, -1))
			assert.True(t, c.from <= n && n <= c.to, "%s on %s: %d pages", c.name, paper, n)
			t.Logf("%s on %s: %d pages", c.name, paper, n)
		}
	}
}

// No system is taller than a page, so none has to be cut; and its width is
// that of the text on A4, 180 mm.
func TestSystemsFitThePage(t *testing.T) {
	for _, name := range examples() {
		for _, s := range domOf(t, written(t, Sheet{Sections: []Section{{Score: example(t, name)}}})).all(func(e *element) bool { return e.is("tab") && !e.is("narrow") }) {
			h, err := strconv.ParseFloat(s.attrs["height"], 64)
			require.NoError(t, err)
			w, err := strconv.ParseFloat(s.attrs["width"], 64)
			require.NoError(t, err)
			assert.Less(t, h, 900.0)
			assert.LessOrEqual(t, w, 680.5)
		}
	}
}

// Room that is left on the only page is filled with blank systems, whole ones
// only, and they make no page more. The page is laid out as for print in
// frames that are as large as the text of A4 and of Letter.
func TestRoomForYourOwn(t *testing.T) {
	work := Sheet{Worksheet: true, Sections: []Section{{Score: example(t, "amber-street.tab")}}}
	sheets := []Sheet{{Sections: []Section{{Score: example(t, "amber-street.tab")}}}, work, keys(t, "amber-street.tab")}
	papers := [][2]int{{680, 1005}, {703, 939}} // 180 by 266 mm, 186 by 248 mm
	var frames strings.Builder
	for _, sheet := range sheets {
		text := regexp.MustCompile(`<meta http-equiv="Content-Security-Policy"[^>]*>`).ReplaceAllString(written(t, sheet), "")
		text = strings.ReplaceAll(strings.ReplaceAll(text, "@media print", "@media all"), "@media screen", "@media speech")
		for _, p := range papers {
			fmt.Fprintf(&frames, `<iframe style="width:%dpx;height:%dpx;border:0" srcdoc="%s"></iframe>`, p[0], p[1], html.EscapeString(text))
		}
	}
	page := `<!DOCTYPE html><title>frames</title><body>` + frames.String() + `<pre></pre><script>addEventListener('load', () => {
document.querySelector('pre').textContent = [...document.querySelectorAll('iframe')].map(frame => {
const d = frame.contentDocument, own = d.querySelector('.own'), leaf = d.querySelector('.leaf');
if (!own) return 'none';
const o = own.getBoundingClientRect(), all = [...own.children].slice(1).map(e => e.getBoundingClientRect());
const seen = all.filter(r => o.right - 1 > r.left), whole = seen.filter(r => o.bottom + 1 >= r.bottom);
return [Math.ceil(leaf.getBoundingClientRect().height), seen.length, whole.length, all.length].join(' ');
}).join('\n'); document.querySelectorAll('iframe').forEach(f => f.remove()) })</script>`
	out, _ := chromium(t, page, "--dump-dom")
	lines := strings.Split(domOf(t, out).named("pre")[0].text, "\n")
	require.Len(t, lines, len(sheets)*len(papers))
	for i, line := range lines {
		if i/len(papers) == 2 {
			assert.Equal(t, "none", line, "a sheet of several sections")
			continue
		}
		var height, seen, whole, all int
		_, err := fmt.Sscan(line, &height, &seen, &whole, &all)
		require.NoError(t, err, line)
		assert.LessOrEqual(t, height, papers[i%2][1], line)
		assert.Positive(t, seen, line)
		assert.Equal(t, seen, whole, "cut: %s", line)
		assert.Less(t, seen, all, "more than a page holds: %s", line)
	}
}
