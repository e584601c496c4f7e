// Command lickwright makes lesson material for improvisers out of licks: see
// lickwright --help.
package main

import (
	"os"
	"runtime"
)

// garbageFloor is how many bytes may pile up, at least, before the collector
// runs. A lick is so small that the collector would otherwise run hundreds of
// times a second, and the more cores work, the more they wait for it.
const garbageFloor = 64 << 20

// withGarbageFloor runs work with a floor for the collector. It runs when the
// heap has grown by its own size, in which the block made here is counted; as
// nothing is written to the block, it takes no memory.
func withGarbageFloor(work func()) {
	floor := make([]byte, garbageFloor)
	work()
	runtime.KeepAlive(floor)
}

func main() {
	var code int
	withGarbageFloor(func() { code = newApp().run(os.Args[1:]) })
	os.Exit(code)
}
