package survey

import (
	"fmt"
	"slices"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// defaultBlocks is how many blocks are made unless told otherwise.
const defaultBlocks = 10

// Blocks predicts the shots of one part of the site after another from the
// shots of all others: how good the surface is a good way from any shot. The
// parts are k boxes with equally many shots, 10 if k is 0; the covariance is
// kept as it is.
//
// Cross-validation by blocks is what is advised where near shots are alike:
// Roberts, D.R. and others (2017). Cross-validation strategies for data with
// temporal, spatial, hierarchical, or phylogenetic structure. Ecography
// 40(8), 913–929.
func (m *Model) Blocks(k int) (Validation, error) {
	blocks, err := parts(m.shots, k)
	if err != nil {
		return Validation{}, err
	}
	k = len(blocks)
	off := make([]float64, m.samples.len())
	variance := make([]float64, len(off))
	if m.whole != nil {
		groups := make([]group, k)
		for i, b := range blocks {
			groups[i] = m.group(b...)
		}
		leaveOut(m.inverted(), m.weights, groups, off, variance)
		return m.validation(off, variance), nil
	}
	for _, b := range blocks {
		if err := m.without(b, off, variance); err != nil {
			return Validation{}, err
		}
	}
	return m.validation(off, variance), nil
}

// parts cuts shots into k boxes of equally many, 10 if k is 0.
func parts(shots []Shot, k int) ([][]int, error) {
	if k == 0 {
		k = defaultBlocks
	}
	if k < 2 || k > len(shots) {
		return nil, fmt.Errorf("%d blocks of %d shots; from 2 up to a block for each shot are possible", k, len(shots))
	}
	t := newTree(places(shots), max(len(shots)/(16*k), 1))
	parts := make([][]int, k)
	for i := range parts {
		parts[i] = slices.Sorted(slices.Values(t.order[i*len(t.order)/k : (i+1)*len(t.order)/k]))
	}
	return parts, nil
}

// allBut are shots without those of some indices, which ascend.
func allBut(shots []Shot, some []int) []Shot {
	var others []Shot
	for i, s := range shots {
		if len(some) > 0 && some[0] == i {
			some = some[1:]
			continue
		}
		others = append(others, s)
	}
	return others
}

// without predicts some shots from a surface through the others.
func (m *Model) without(some []int, off, variance []float64) error {
	o := m.given()
	o.Lines = m.unhooked(some)
	rest, err := fit(allBut(m.shots, some), o, sizes{mostWhole, mostLikelihood, mostDeviation})
	if err != nil {
		return fmt.Errorf("without a block of %d shots: %w", len(some), err)
	}
	noise := m.samples.diagonal(m.Covariance.Sill, m.Covariance.Nugget, 0)
	const together = 256
	terrain.Bands((len(some)+together-1)/together, func(lo, hi int) {
		w := worker{Model: rest}
		for i := lo * together; i < min(hi*together, len(some)); i += together {
			now := some[i:min(i+together, len(some))]
			w.at = rest.at()
			for _, j := range now {
				p := rest.scaled(m.shots[j].Point)
				rest.place(w.at, p[0], p[1], p)
			}
			w.predict(true)
			for n, j := range now {
				off[j] = m.shots[j].Z - (rest.level + w.mean[n])
				variance[j] = w.variance[n] + noise[j]
			}
		}
	})
	return nil
}

// given are the options that make the same surface of other shots.
func (m *Model) given() Options {
	o, c := m.options, m.Covariance
	o.Covariance, o.Anisotropy, o.Margin = &c, m.Anisotropy, m.Margin
	return o
}

// unhooked are the breaklines without the vertices that some shots gave them.
func (m *Model) unhooked(some []int) []Breakline {
	return unhooked(m.lines, m.shots, some, m.spacing)
}

func unhooked(lines []Breakline, shots []Shot, some []int, spacing float64) []Breakline {
	if len(lines) == 0 {
		return nil
	}
	var gone []orb.Point
	for _, i := range some {
		gone = append(gone, shots[i].Point)
	}
	t := newTree(gone, 16)
	var left []Breakline
	for _, l := range lines {
		cut := l
		cut.Line, cut.Z = nil, nil
		for j, p := range l.Line {
			if near := t.nearest(orb.Bound{Min: p, Max: p}, 1, spacing); l.Z != nil && len(near) > 0 && near[0].distance <= onLine {
				continue
			}
			cut.Line = append(cut.Line, p)
			if l.Z != nil {
				cut.Z = append(cut.Z, l.Z[j])
			}
		}
		if len(cut.Line) > 1 {
			left = append(left, cut)
		}
	}
	return left
}
