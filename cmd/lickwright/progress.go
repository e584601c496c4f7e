package main

import (
	"fmt"
	"sync"
	"time"
)

// A progress tells on a terminal how far long work is. Everywhere else it is
// silent. A nil progress does nothing; its methods may be called at once.
type progress struct {
	app    *app
	mu     sync.Mutex
	what   string
	all    int
	done   int
	start  time.Time
	shown  time.Time
	drawn  bool
	closed bool
}

// patience is how long work may take before anything is shown, and between
// two showings.
const patience = 200 * time.Millisecond

func (a *app) newProgress(what string, all int) *progress {
	if !a.errTTY {
		return nil
	}
	now := time.Now()
	return &progress{app: a, what: what, all: all, start: now, shown: now}
}

// total says anew what is counted and how many of them there are.
func (p *progress) total(what string, all int) {
	if p == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.what, p.all, p.done = what, all, 0
}

// step counts one more, if it counts.
func (p *progress) step(counts bool) {
	if p == nil || !counts {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.done++
	now := time.Now()
	if p.closed || now.Sub(p.shown) < patience {
		return
	}
	p.shown, p.drawn = now, true
	fmt.Fprintf(p.app.errOut, "\r\x1b[K%s", progressLine(p.what, p.done, p.all, now.Sub(p.start)))
}

// progressLine writes how far work is and how long the rest will take if it
// goes on like this.
func progressLine(what string, done, all int, passed time.Duration) string {
	s := fmt.Sprintf("%d of %s", done, plural(all, what))
	if done > 0 && all > done {
		left := time.Duration(float64(passed) / float64(done) * float64(all-done))
		s += ", " + leftWords(left) + " left"
	}
	return s
}

func leftWords(d time.Duration) string {
	switch {
	case d < time.Minute:
		return fmt.Sprintf("%d s", int(d.Round(time.Second).Seconds()))
	case d < time.Hour:
		return fmt.Sprintf("%d min", int(d.Round(time.Minute).Minutes()))
	}
	return fmt.Sprintf("%.1f h", d.Hours())
}

// clear takes the line off, so that something else can be said.
func (p *progress) clear() {
	if p == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.drawn {
		fmt.Fprint(p.app.errOut, "\r\x1b[K")
		p.drawn = false
	}
}

// end takes the line off for good.
func (p *progress) end() {
	if p == nil {
		return
	}
	p.clear()
	p.mu.Lock()
	defer p.mu.Unlock()
	p.closed = true
}
