package main

import (
	"errors"

	"example.org/lickwright/theory"
)

// Exit codes.
const (
	exitDone    = 0 // everything was done
	exitPartly  = 1 // --diff found differences, something was not done, or --strict saw warnings
	exitUsage   = 2 // the command line was wrong
	exitFailure = 3 // input could not be read or output could not be written
)

// A usageError is a mistake on the command line.
type usageError struct {
	msg  string
	hint string // may be empty
}

func (e *usageError) Error() string { return e.msg }

// flagError is the usage error for the value of a flag, with the hint that
// the parser of the value gives.
func flagError(flag string, err error) error {
	u := &usageError{msg: "--" + flag + ": " + err.Error()}
	var pe *theory.ParseError
	if errors.As(err, &pe) {
		u.hint = pe.Hint
	}
	return u
}

// A fileError is a failure of input or output.
type fileError struct {
	path string
	msg  string
	hint string
}

func (e *fileError) Error() string { return e.path + ": " + e.msg }

// errFailed and errWrong end a command with exitFailure and exitUsage when
// everything was said already, errInterrupted work that is not to go on.
var (
	errFailed      = errors.New("something failed")
	errWrong       = errors.New("something was asked for that cannot be")
	errInterrupted = errors.New("interrupted")
)

// errPartly ends a command with exitPartly when everything was said already.
var errPartly = errors.New("not everything was done")
