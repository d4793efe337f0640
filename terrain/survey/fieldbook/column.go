package fieldbook

import (
	"slices"
	"strings"
	"unicode"

	"wetfeet/terrain/quantity"
)

// A kind is a sort of sheet.
type kind int

const (
	noKind kind = iota
	levelSheet
	laserSheet
	waterSheet
	tapeSheet
	gnssSheet
	pointSheet
)

var kindNames = [...]string{"", "level", "laser", "water", "tape", "gnss", "points"}

func (k kind) String() string { return kindNames[k] }

// A role is what a column is to a sheet.
type role int

const (
	noRole role = iota
	pointRole
	backRole
	interRole
	foreRole
	knownRole  // level of a benchmark
	bookedRole // the grower's own reduced level
	distanceRole
	backLengthRole
	foreLengthRole
	readingRole
	homeRole
	alongRole
	offsetRole
	leftRole
	rightRole
	baseRole
	xRole
	yRole
	lonRole
	latRole
	heightRole
	ellipsoidRole
	geoidRole
	horizontalRole
	verticalRole
	fixRole
	codeRole
	pageRole
	remarkRole
	roles
)

// What a cell of a role holds.
type content int

const (
	words content = iota
	lengths
	signedLengths
	angles
	sides
)

var columnRoles = [roles]struct {
	name  string // in messages and templates
	other string // further names, without spaces and signs, in lower case
	holds content
}{
	pointRole:      {"point", "pt station stn name id peg staffat", words},
	backRole:       {"bs", "backsight back", lengths},
	interRole:      {"is", "intermediate intermediatesight inter", lengths},
	foreRole:       {"fs", "foresight fore", lengths},
	knownRole:      {"level", "known knownlevel benchmark bm bmlevel", signedLengths},
	bookedRole:     {"rl", "reducedlevel reduced booked bookedlevel", signedLengths},
	distanceRole:   {"distance", "dist levelled", lengths},
	backLengthRole: {"bs distance", "bsdist backsightdistance bslength", lengths},
	foreLengthRole: {"fs distance", "fsdist foresightdistance fslength", lengths},
	readingRole:    {"reading", "staff staffreading rod rodreading read tube", lengths},
	homeRole:       {"home", "homereading fixed bucket", lengths},
	alongRole:      {"along", "chainage", lengths},
	offsetRole:     {"offset", "off", sides},
	leftRole:       {"left", "offsetleft l", lengths},
	rightRole:      {"right", "offsetright r", lengths},
	baseRole:       {"base", "baseline row", words},
	xRole:          {"x", "e east easting", signedLengths},
	yRole:          {"y", "n north northing", signedLengths},
	lonRole:        {"lon", "lng long longitude", angles},
	latRole:        {"lat", "latitude", angles},
	heightRole:     {"height", "z h elev elevation altitude alt orthometric orthometricheight", signedLengths},
	ellipsoidRole:  {"ellipsoidal height", "ellipsoidal ellipsoid hell hae heightaboveellipsoid", signedLengths},
	geoidRole:      {"geoid", "geoidseparation separation undulation geoidheight", signedLengths},
	horizontalRole: {"horizontal error", "hor horerror hrms herror hacc", lengths},
	verticalRole:   {"vertical error", "ver vererror vrms verror vacc error sd", lengths},
	fixRole:        {"fix", "fixtype quality solution", words},
	codeRole:       {"code", "feature", words},
	pageRole:       {"page", "", words},
	remarkRole:     {"remarks", "remark note notes comment comments", words},
}

// columnsOf are the columns a sheet of a kind reads beside point, page, code
// and remarks.
var columnsOf = [...][]role{
	levelSheet: append([]role{backRole, interRole, foreRole, knownRole, bookedRole, distanceRole, backLengthRole, foreLengthRole}, positionRoles...),
	laserSheet: append([]role{readingRole, knownRole, bookedRole}, positionRoles...),
	waterSheet: append([]role{readingRole, homeRole, knownRole, bookedRole}, positionRoles...),
	tapeSheet:  {alongRole, offsetRole, leftRole, rightRole, baseRole},
	gnssSheet:  {lonRole, latRole, xRole, yRole, heightRole, ellipsoidRole, geoidRole, horizontalRole, verticalRole, fixRole},
	pointSheet: {xRole, yRole, lonRole, latRole, knownRole},
}

var positionRoles = []role{alongRole, offsetRole, leftRole, rightRole, baseRole, xRole, yRole, lonRole, latRole}

// A column is one column of a sheet.
type column struct {
	name string
	role role
	unit string // of its numbers where the header says it, else empty
}

// bareName is a heading without spaces and signs, in lower case.
func bareName(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, s)
}

// understand finds what a column is on a sheet of a kind. With no kind it is
// the first role of the name.
func understand(heading string, k kind) column {
	c := column{name: strings.TrimSpace(heading)}
	base := c.name
	if cut, _, ok := quantity.ColumnUnit(c.name); ok {
		base = cut
		c.unit = strings.ToLower(strings.Trim(strings.TrimSpace(c.name[len(cut):]), "_()[] "))
	}
	name := bareName(base)
	if name == "" {
		return c
	}
	if k == tapeSheet && (name == "distance" || name == "dist") {
		name = "along" // there is nothing else it could be
	}
	if k == gnssSheet && name == "h" {
		name = "height"
	}
	if k == pointSheet && (name == "z" || name == "height" || name == "rl" || name == "elevation") {
		name = "level"
	}
	for r := pointRole; r < roles; r++ {
		if name == bareName(columnRoles[r].name) || slices.Contains(strings.Fields(columnRoles[r].other), name) {
			if k == noKind || r == pointRole || r >= codeRole || slices.Contains(columnsOf[k], r) {
				c.role = r
				return c
			}
		}
	}
	return c
}

// guessKind tells the kind of a sheet from its columns, where nobody said.
func guessKind(cells []string) kind {
	has := map[role]bool{}
	for _, cell := range cells {
		has[understand(cell, noKind).role] = true
	}
	switch {
	case has[backRole] || has[foreRole]:
		return levelSheet
	case has[homeRole]:
		return waterSheet
	case has[readingRole]:
		return laserSheet
	case has[ellipsoidRole] || has[verticalRole] || has[heightRole] && has[lonRole]:
		return gnssSheet
	case has[alongRole] || has[offsetRole] || has[leftRole] || has[rightRole]:
		return tapeSheet
	case has[xRole] || has[lonRole]:
		return pointSheet
	}
	return noKind
}

// needed says which columns a sheet of a kind cannot do without and has not,
// or nothing.
func needed(k kind, has func(...role) bool) string {
	either := func(a, b role) bool { return has(a) || has(b) }
	position := has(xRole, yRole) || has(lonRole, latRole)
	switch {
	case !has(pointRole) && k != gnssSheet:
		return "point"
	case k == levelSheet && !has(backRole):
		return "bs (back sight)"
	case k == levelSheet && !either(interRole, foreRole):
		return "fs (fore sight) or is (intermediate sight)"
	case (k == laserSheet || k == waterSheet) && !has(readingRole):
		return "reading"
	case k == tapeSheet && !has(alongRole):
		return "along (distance along the base line)"
	case k == tapeSheet && !has(offsetRole) && !either(leftRole, rightRole):
		return "offset, or left and right"
	case (k == gnssSheet || k == pointSheet) && !position:
		return "lon and lat, or x and y"
	case k == gnssSheet && !either(heightRole, ellipsoidRole):
		return "height or ellipsoidal height"
	case has(xRole) != has(yRole):
		return "both of x and y"
	case has(lonRole) != has(latRole):
		return "both of lon and lat"
	}
	return ""
}
