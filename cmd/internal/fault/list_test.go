package fault

import (
	"io/fs"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestAListTellsItsMistakesInTheOrderOfTheirLines(t *testing.T) {
	var l List
	assert.NoError(t, l.Err())
	l.Add(7, "a.csv, line 7: late")
	l.Add(2, "a.csv, line 2: first")
	l.Add(2, "a.csv, line 2: %w", fs.ErrNotExist)
	assert.EqualError(t, l.Err(), "a.csv, line 2: first\na.csv, line 2: file does not exist\na.csv, line 7: late")
	assert.True(t, IsInput(l.Err()))
	assert.ErrorIs(t, l.Err(), fs.ErrNotExist)
	assert.Equal(t, 3, l.Len())
}

func TestAListTellsTwentyMistakesAndCountsTheRest(t *testing.T) {
	var l List
	for range 21 {
		l.Add(1, "wrong")
	}
	assert.Equal(t, strings.Repeat("wrong\n", 20)+"and 1 more mistake like these", l.Err().Error())
	l.Add(1, "wrong")
	assert.Equal(t, strings.Repeat("wrong\n", 20)+"and 2 more mistakes like these", l.Err().Error())
	assert.Equal(t, 22, l.Len())
}
