package main

import (
	"fmt"

	"wetfeet/cmd/internal/assess"
)

// oddsFlags are those of the commands that tell odds. They go before what a
// site file says.
type oddsFlags struct {
	Draws *int    `placeholder:"N" help:"How many equally likely sites the odds are told from, 200 unless said; 0 for the likeliest answer alone."`
	Seed  *uint64 `placeholder:"S" help:"Seed of the draws; the same seed gives the same odds."`

	Season bool `help:"Run the years of weather on every one of those sites too, which takes as many times as long as on the likeliest alone. Wants a site file with a record in [season]."`
}

// Bounds of --draws.
const leastDraws, mostDraws = 20, 100_000

func (f oddsFlags) change(o *assess.OddsPlan) error {
	if f.Draws != nil {
		n := *f.Draws
		if n != 0 && n < leastDraws || n > mostDraws {
			return fmt.Errorf("%w: --draws: found %d; a whole number from %d to %d is needed, or 0 for the likeliest answer alone", errUsage, n, leastDraws, mostDraws)
		}
		o.Draws, o.Off = n, n == 0
	}
	if f.Seed != nil {
		o.Seed = *f.Seed
	}
	o.Season = o.Season || f.Season
	return nil
}
