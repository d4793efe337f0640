package site

// Bounds of what is asked of odds.
const (
	leastDraws = 20 // fewer tell no tenth
	mostDraws  = 100_000
)

// Odds is how surely the answer is to be known.
type Odds struct {
	Draws  int     // equally likely sites; 0 leaves it to the program
	Seed   uint64  // of the draws
	Target float64 // risk that a mound or a swap is to bring a tree under, a share of 1; 0 leaves it to the program
	Season bool    // the years of weather on every draw too
	Off    bool    // the likeliest answer alone
}

func (o *Odds) read(n node) {
	n.table([]field{
		{"draws", func(n node) {
			v, ok := n.value.(int64)
			if !ok || v != 0 && v < leastDraws || v > mostDraws {
				n.fail("found %s; a whole number of draws is needed, from %d to %d, or 0 for the likeliest answer alone", describe(n.value), leastDraws, mostDraws)
				return
			}
			o.Draws, o.Off = int(v), v == 0
		}},
		{"seed", func(n node) {
			v, ok := n.value.(int64)
			if !ok || v < 0 {
				n.fail("found %s; a whole number is needed, 0 or more", describe(n.value))
				return
			}
			o.Seed = uint64(v)
		}},
		{"target", func(n node) {
			v, ok := n.share()
			if ok && (v == 0 || v == 1) {
				n.fail("found %s; a risk between 0 and 1 is needed, such as 0.1: none is out of reach, and 1 is no target", describe(n.value))
				return
			}
			o.Target = v
		}},
		{"season", func(n node) { o.Season = n.flag() }},
	})
}
