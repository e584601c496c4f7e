package main

import (
	"errors"
	"fmt"

	"example.org/lickwright/theory"
	"example.org/lickwright/transform"
)

// parseScale reads a scale from the command line; flag is empty for an
// argument.
func parseScale(flag, s string) (theory.NoteName, bool, theory.Scale, error) {
	tonic, has, sc, err := theory.ParseScale(s)
	return tonic, has, sc, argError(flag, err)
}

// argError makes a usage error of what a parser says about an argument, or
// about a flag if it has a name.
func argError(flag string, err error) error {
	if err == nil {
		return nil
	}
	if flag != "" {
		return flagError(flag, err)
	}
	u := &usageError{msg: err.Error()}
	var pe *theory.ParseError
	if errors.As(err, &pe) {
		u.hint = pe.Hint
	}
	return u
}

// parseHome reads --home, nil for nothing said.
func parseHome(s string) (*theory.NoteName, error) {
	if s == "" {
		return nil, nil
	}
	n, err := theory.ParseNoteName(s)
	if err != nil {
		u := flagError("home", err).(*usageError)
		if tonic, has, _, scaleErr := theory.ParseScale(s); scaleErr == nil && has {
			u.hint = "home is a note: say --home " + tonic.String()
		} else if scaleErr == nil {
			u.hint = "home is a note, as in --home D"
		}
		return nil, u
	}
	return &n, nil
}

// parseKey reads --key, nil for nothing said.
func parseKey(s string) (*theory.Key, error) {
	if s == "" {
		return nil, nil
	}
	k, _, err := theory.ParseKey(s)
	if err != nil {
		return nil, flagError("key", err)
	}
	return &k, nil
}

// parseOrder reads --order.
func parseOrder(s string) (transform.Order, error) {
	o, err := transform.ParseOrder(s)
	if err != nil {
		return o, near(flagError("order", err), s, transform.OrderNames())
	}
	return o, nil
}

// parseRespell reads --respell.
func parseRespell(s string) (transform.Respell, error) {
	switch s {
	case "auto":
		return transform.RespellAuto, nil
	case "never":
		return transform.RespellNever, nil
	}
	return 0, &usageError{fmt.Sprintf("--respell: %q is neither auto nor never", s), didYouMean(s, []string{"auto", "never"})}
}

// noTonic says of a scale without a tonic that it cannot lie on a neck.
func noTonic(scale string) *usageError {
	return &usageError{fmt.Sprintf("%q has no tonic, and a neck needs one", scale), "say it before the scale, as in C " + scale}
}
