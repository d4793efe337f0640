package storm

// An event is what happens to a hollow next, unless something happens to it
// before.
type event struct {
	at     float64
	hollow int32
	change int32 // what the hollow's count of changes was
}

// before orders events by time, and those of one time by hollow.
func (e event) before(f event) bool {
	return e.at < f.at || e.at == f.at && e.hollow < f.hollow
}

// An agenda is a binary heap of events, the next one first.
type agenda []event

func (a *agenda) push(e event) {
	h := append(*a, e)
	i := len(h) - 1
	for i > 0 {
		up := (i - 1) / 2
		if !e.before(h[up]) {
			break
		}
		h[i] = h[up]
		i = up
	}
	h[i] = e
	*a = h
}

func (a *agenda) pop() event {
	h := *a
	top, last := h[0], h[len(h)-1]
	h = h[:len(h)-1]
	i := 0
	for 2*i+1 < len(h) {
		k := 2*i + 1
		if k+1 < len(h) && h[k+1].before(h[k]) {
			k++
		}
		if !h[k].before(last) {
			break
		}
		h[i] = h[k]
		i = k
	}
	if len(h) > 0 {
		h[i] = last
	}
	*a = h
	return top
}
