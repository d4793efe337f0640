package planting

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestPlaceInTheRow(t *testing.T) {
	for _, tt := range []struct{ id, row, want string }{
		{"A-12", "A", "12"}, {"North hedge-3", "North hedge", "3"}, {"fig by the gate", "", "fig by the gate"},
		{"A-", "A", "A-"}, {"AB-1", "A", "AB-1"}, {"-1", "", "-1"},
	} {
		p := Position{ID: tt.id, Row: tt.row}
		assert.Equal(t, tt.want, p.Place())
	}
}
