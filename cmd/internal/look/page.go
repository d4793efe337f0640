package look

import _ "embed"

// PageStyle is the style sheet of every page the program writes: on a screen,
// on a telephone and on paper.
//
//go:embed page.css
var PageStyle string
