//go:build browser

package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The advice on the page: read, put into the plan, taken back, one kind alone.
func TestServedPageAdvises(t *testing.T) {
	address, _ := servedWithDraws(t, 20)
	b := browse(t, address, 1280, 800)
	fresh := `document.body.dataset.answered === "sure" && wetfeet.advisor.advice && wetfeet.advisor.of && !document.querySelector("#advice.old")`
	b.wait(fresh)
	ask[bool](t, b, `(document.getElementById("advice").scrollIntoView(), true)`)
	b.picture("advice-panel")
	words := ask[string](t, b, `document.getElementById("advice-body").textContent`)
	for _, w := range []string{"trees are expected to be lost", "Change places", "mounds of", "Find out next", "Put all of it into the plan"} {
		assert.Contains(t, words, w)
	}
	before := ask[string](t, b, `JSON.stringify(wetfeet.plan.now)`)
	now, then := ask[float64](t, b, `wetfeet.advisor.advice.now.mean`), ask[float64](t, b, `wetfeet.advisor.advice.then.mean`)
	require.Less(t, then, now)

	// All of it is one step of the plan, and comes true.
	changes := ask[int](t, b, `wetfeet.advisor.advice.all.length`)
	ask[bool](t, b, `document.querySelector("#advice-body .main").click() || true`)
	assert.Equal(t, changes, ask[int](t, b, `wetfeet.plan.now.trees.length`)-ask[int](t, b, `JSON.parse(wetfeet.plan.saved).trees.filter((t) => !wetfeet.advisor.advice.all.some((c) => c.id === t.id)).length`))
	assert.True(t, ask[bool](t, b, `[...document.querySelectorAll("#advice-body button")].every((e) => e.disabled)`), "advice to another plan is not put into this one")
	b.wait(fresh)
	assert.InDelta(t, then, ask[float64](t, b, `wetfeet.advisor.advice.now.mean`), 0.2)
	b.click("undo")
	assert.Equal(t, before, ask[string](t, b, `JSON.stringify(wetfeet.plan.now)`))
	b.wait(fresh)
	assert.InDelta(t, now, ask[float64](t, b, `wetfeet.advisor.advice.now.mean`), 1e-9)

	// Mounds alone.
	ask[bool](t, b, `document.querySelector('#advice button[data-kind="raise"]').click() || true`)
	assert.True(t, ask[bool](t, b, `wetfeet.plan.now.trees.some((t) => t.mound > 0)`))
	assert.Equal(t, ask[string](t, b, `JSON.stringify(JSON.parse(wetfeet.plan.saved).trees.map((t) => t.species || ""))`),
		ask[string](t, b, `JSON.stringify(wetfeet.plan.now.trees.filter((t) => JSON.parse(wetfeet.plan.saved).trees.some((s) => s.id === t.id)).map((t) => t.species || ""))`))

	// A drain that is advised is drawn, and does what was told.
	b.click("undo")
	assert.Equal(t, before, ask[string](t, b, `JSON.stringify(wetfeet.plan.now)`))
	b.wait(fresh)
	ask[bool](t, b, `(document.querySelector('#advice button[data-kind="drain"]').scrollIntoView({ block: "center" }), true)`)
	b.picture("drains")
	ask[bool](t, b, `document.querySelector('#advice button[data-kind="drain"]').click() || true`)
	b.wait(`wetfeet.plan.now.works.length === 1 && !wetfeet.works.busy && wetfeet.reply.works?.before`)
	assert.Greater(t, ask[float64](t, b, `wetfeet.reply.works.before.ponded - wetfeet.reply.works.after.ponded`), 1.0)
	b.wait(fresh)
	ask[bool](t, b, `(document.getElementById("work").scrollIntoView(), true)`)
	b.picture("drain-advised")

	// A newer question ends the one that runs.
	b.slide("rain", "60")
	assert.True(t, ask[bool](t, b, `wetfeet.advisor.asking === null`))
	b.quiet()
	assert.Empty(t, barriers(t, b))
}
