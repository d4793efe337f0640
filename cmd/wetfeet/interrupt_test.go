package main

import (
	"bytes"
	"context"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// An interrupt while draws are made ends those alone: the answer is whole, from
// the draws that were done.
func TestAnInterruptKeepsTheDrawsThatAreDone(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	var stdout, stderr bytes.Buffer
	i := &interrupter{stderr: &stderr}
	stopped := make(chan bool)
	go func() {
		for !i.stopDraws() {
			time.Sleep(time.Millisecond)
		}
		close(stopped)
	}()
	status := runWith(t.Context(), i, []string{"assess", heronBend + "heron-bend.toml", "--draws", "20000", "-o", out}, &stdout, &stderr)
	<-stopped
	require.Equal(t, exitOK, status, stderr.String())
	assert.Contains(t, stderr.String(), "Interrupt again to give up.")
	assert.Contains(t, stderr.String(), "The odds were stopped after ")
	assert.Contains(t, written(t, out), "report.html")
}

func TestDrawsThatDoNotFitSayHowManyDo(t *testing.T) {
	dir := t.TempDir()
	status, _, stderr := wetfeet(t, "assess", heronBend+"heron-bend.toml", "--draws", "100000", "-o", filepath.Join(dir, "out"))
	assert.Equal(t, exitInput, status)
	assert.True(t, strings.Contains(stderr, "odds.draws: ") && strings.Contains(stderr, "fit"), stderr)
	assert.Empty(t, written(t, dir))
}

func TestWithoutDrawsAnInterruptEndsAll(t *testing.T) {
	i := &interrupter{stderr: new(bytes.Buffer)}
	assert.False(t, i.stopDraws())
	ctx, done := i.draws(context.Background())
	assert.True(t, i.stopDraws())
	assert.ErrorIs(t, context.Cause(ctx), errEnough)
	assert.False(t, i.stopDraws(), "the second interrupt ends all")
	done()
}
