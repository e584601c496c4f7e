package fingering

// ByHand returns the weights that were set by hand, before anything was
// learnt: a baseline, and what learning begins with.
func ByHand() *Weights {
	return &Weights{
		Open: 0, OpenAway: 0.6, Height: 0.35, High: 0.2,
		ByIndex: 0, ByMiddle: 0.1, ByRing: 0.2, ByLittle: 0.45,
		ThickString: 0.1, ThickHigh: 0.3,
		ReachBack: 0.5, ReachForward: 0.5, ReachInner: 0.7, Squeeze: 0.35,
		Span: 0.05, Strain: 0.6, FingersDown: 0.1, Barre: 0.8, HalfBarre: 1, Crossed: 1.5,
		BendWound: 0.8, BendLow: 0.5, BendWeak: 0.6, Preference: 1,
		OnString: 0, NextString: 0.1, SkipString: 0.25, SkipHaste: 0.3, AgainstString: 0.5, Restruck: 2.5, OpenFretted: 0.1,
		Hop: 0.4, HopHaste: 1.2, Release: 1.2, Anchored: 1.5,
		Shift: 0.7, ShiftHaste: 1.2, ShiftMM: 0.6, ShiftMMHaste: 2,
		ShiftOpen: 0.3, ShiftOpenMM: 0.5, ShiftRest: 0.1, ShiftRestMM: 0.3, ShiftSlide: 0.1, ShiftSlideMM: 0.3,
		ShiftOnString: -0.3,
	}
}
