package planting

import "strings"

// Place is the part of an id that tells a position within its row: the figures
// after the row's name. It is the whole id where there are none.
func (p *Position) Place() string {
	if rest, ok := strings.CutPrefix(p.ID, p.Row+"-"); ok && p.Row != "" && rest != "" {
		return rest
	}
	return p.ID
}
