package fault

import (
	"errors"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestInputMarksAndKeepsTheMessage(t *testing.T) {
	plain := errors.New("disk full")
	assert.False(t, IsInput(plain))
	assert.NoError(t, Input(nil))

	marked := fmt.Errorf("site.toml: %w", Input(errors.New("line 3: no such key")))
	assert.True(t, IsInput(marked))
	assert.EqualError(t, marked, "site.toml: line 3: no such key")
	assert.True(t, IsInput(errors.Join(plain, marked)))
	assert.True(t, errors.Is(Input(plain), plain))
}
