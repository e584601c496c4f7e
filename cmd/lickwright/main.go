// Command lickwright makes lesson material for improvisers out of licks: see
// lickwright --help.
package main

import "os"

func main() { os.Exit(newApp().run(os.Args[1:])) }
