package hydro

import "wetfeet/terrain"

// FindHollowsDeep finds the hollows of the ground z that are at least so deep
// from floor to spill level, m, as [FindHollows] does and then leaves out the
// rest as [Hollows.Significant] does: water of a hollow left out runs on to
// where it would overflow.
//
// Depth is known before anything is measured, so rough ground costs little
// more than smooth. No depth, 0, keeps all.
func FindHollowsDeep(z *terrain.Grid[float32], depth float64) *Hollows {
	if !(depth > 0) {
		return FindHollows(z)
	}
	b := findBasins(z, steepestWay)
	t := growTree(z, b)
	b.saddles = nil
	p := pruning{tree: t}
	found := p.keep(depth)
	runsTo, wetBy := p.link()
	h := measure(z, p.kept, b.label, runsTo, wetBy)
	h.Noise = found - len(h.All)
	return h
}

// A pruning makes a tree of the deep ones of its nodes: the same as a sieve,
// before any node is measured.
type pruning struct {
	*tree
	kept []node // the new tree; node 0 is the outside

	// By node of the old tree:
	is     []int32 // the new node that it or one within it has become, or 0
	leaf   []int32 // the new node without children that it has become or lies in, or 0
	onward []int32 // if neither, where the outermost such node it lies in spills to
	ends   []int32 // by pit: the new node its water ends in; −1 if not yet known
}

// keep decides which nodes to keep, children before their parents, and counts
// the hollows there were.
func (p *pruning) keep(depth float64) (found int) {
	n := len(p.nodes)
	p.kept = make([]node, 1)
	p.is, p.leaf = make([]int32, n), make([]int32, n)
	for i := int32(1); i < int32(n); i++ {
		old := &p.nodes[i]
		if old.spill == 0 {
			continue // a pit that holds nothing
		}
		found++
		if float64(level(old.spill))-float64(level(old.low)) < depth {
			continue // nor is any within it deep
		}
		now := int32(len(p.kept))
		switch a, b := p.is[old.children[0]], p.is[old.children[1]]; {
		case a != 0 && b != 0:
			p.kept = append(p.kept, node{children: [2]int32{a, b}})
			p.kept[a].parent, p.kept[b].parent = now, now
		case a != 0 || b != 0:
			now = max(a, b)
		default:
			p.leaf[i] = now
			p.kept = append(p.kept, node{})
		}
		p.is[i] = now
		k := &p.kept[now]
		k.low, k.floor = old.low, old.floor
		k.spill, k.spillCell, k.spillsTo = old.spill, old.spillCell, old.spillsTo
	}
	return found
}

// link finds where the water of every pit goes now and which new node may wet
// its cells, and lets the new nodes spill there.
func (p *pruning) link() (runsTo, wetBy []int32) {
	n := int32(len(p.nodes))
	p.onward, p.ends = make([]int32, n), make([]int32, n)
	wet := make([]int32, n)
	for i := n - 1; i > 0; i-- {
		old := &p.nodes[i]
		up := old.parent
		if up != 0 && p.leaf[up] != 0 {
			p.leaf[i] = p.leaf[up]
		}
		p.onward[i], p.ends[i] = old.spillsTo, -1
		switch {
		case p.leaf[i] != 0:
			p.ends[i], wet[i] = p.leaf[i], p.leaf[i]
		case p.is[i] != 0 || up == 0:
		case p.is[up] != 0:
			wet[i] = p.is[up]
		default:
			p.onward[i], wet[i] = p.onward[up], wet[up]
		}
	}
	pits := len(p.drain)
	runsTo, wetBy = make([]int32, pits), make([]int32, pits)
	for i, pit := range p.drain {
		runsTo[i], wetBy[i] = endOf(pit, p.onward, p.ends, 0), wet[pit]
	}
	for i := range p.kept[1:] {
		k := &p.kept[i+1]
		k.spillsTo = endOf(k.spillsTo, p.onward, p.ends, 0)
	}
	return runsTo, wetBy
}
