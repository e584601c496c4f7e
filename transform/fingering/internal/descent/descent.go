// Package descent minimises smooth functions of a few dozen variables.
package descent

import "math"

// A Func returns the value of a function at a point, and its gradient.
type Func func(x []float64) (float64, []float64)

// memory is how many steps the curvature is estimated from.
const memory = 8

// Minimise goes down from a point for at most so many steps and returns where
// it comes to. It stops early when a step gains less than a part of 10^-5.
// Source: limited-memory BFGS with backtracking (Nocedal & Wright, Numerical
// Optimization, 2nd ed. 2006, algorithms 7.4, 7.5 and 3.1).
func Minimise(f Func, x []float64, steps int, tell func(step int, value float64)) []float64 {
	x = append([]float64(nil), x...)
	value, grad := f(x)
	var ss, ys [][]float64
	for step := range steps {
		tell(step, value)
		d := direction(grad, ss, ys)
		slope := dot(d, grad)
		if slope >= 0 {
			ss, ys = nil, nil
			d = direction(grad, nil, nil)
			slope = dot(d, grad)
		}
		t := 1.0
		if len(ss) == 0 {
			t = 0.5 / math.Sqrt(dot(d, d))
		}
		var to, g []float64
		var v float64
		for tries := 0; ; tries++ {
			to = add(x, d, t)
			v, g = f(to)
			if v <= value+1e-4*t*slope {
				break
			}
			if tries == 12 {
				return x
			}
			t /= 2.5
		}
		s, y := add(to, x, -1), add(g, grad, -1)
		if dot(s, y) > 1e-10 {
			ss, ys = append(ss, s), append(ys, y)
			if len(ss) > memory {
				ss, ys = ss[1:], ys[1:]
			}
		}
		gain := value - v
		x, value, grad = to, v, g
		if gain < 1e-5*math.Abs(value) {
			break
		}
	}
	return x
}

// direction is minus the gradient, bent by the curvature seen so far.
func direction(grad []float64, ss, ys [][]float64) []float64 {
	d := make([]float64, len(grad))
	for i, g := range grad {
		d[i] = -g
	}
	a := make([]float64, len(ss))
	for i := len(ss) - 1; i >= 0; i-- {
		a[i] = dot(ss[i], d) / dot(ss[i], ys[i])
		d = add(d, ys[i], -a[i])
	}
	if n := len(ss) - 1; n >= 0 {
		scale := dot(ss[n], ys[n]) / dot(ys[n], ys[n])
		for i := range d {
			d[i] *= scale
		}
	}
	for i := range ss {
		b := dot(ys[i], d) / dot(ss[i], ys[i])
		d = add(d, ss[i], a[i]-b)
	}
	return d
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

func add(a, b []float64, t float64) []float64 {
	c := make([]float64, len(a))
	for i := range a {
		c[i] = a[i] + t*b[i]
	}
	return c
}
