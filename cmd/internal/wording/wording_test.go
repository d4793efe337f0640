package wording

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestCounts(t *testing.T) {
	assert.Equal(t, "0 trees", Count(0, "tree"))
	assert.Equal(t, "1 tree", Count(1, "tree"))
	assert.Equal(t, "12 trees", Count(12, "tree"))
	assert.Equal(t, "3 species", Count(3, "species"))
	assert.Equal(t, "one tree", CountOne(1, "tree"))
	assert.Equal(t, "2 trees", CountOne(2, "tree"))
}

func TestSentencesBeginWithACapital(t *testing.T) {
	assert.Equal(t, "One tree", Capital("one tree"))
	assert.Equal(t, "Écorce", Capital("écorce"))
	assert.Equal(t, "2 trees", Capital("2 trees"))
	assert.Empty(t, Capital(""))
}

func TestSomeOfManyNames(t *testing.T) {
	names := []string{"A-1", "A-2", "A-3"}
	assert.Equal(t, "A-1, A-2, A-3", Some(names, 3))
	assert.Equal(t, "A-1, A-2 and 1 more", Some(names, 2))
	assert.Empty(t, Some(nil, 2))
}
