package species

// A Class is a step of tolerance to waterlogging. Days mean consecutive days
// with the root zone saturated, growing season, warm soil, established tree,
// foliage and graft above water.
type Class int

const (
	NoWetFeet Class = iota // 0 to 2 days
	ShortSoak              // 3 to 7
	WetSpell               // 8 to 30
	WetSeason              // 31 to 120
	Swamp                  // over 120
)

// String is the name of the class in plain words.
func (c Class) String() string {
	return [...]string{"no wet feet", "short soak", "wet spell", "wet season", "swamp"}[c]
}

// Basis says what a value rests on.
type Basis string

const (
	Read     Basis = "read"            // the text or data row was seen
	Memory   Basis = "from memory"     // recalled from the source named, not seen: check before quoting
	Practice Basis = "common practice" // trade rule of thumb, no single source
	Grower   Basis = "grower"          // from the grower's own table
)

// A Range is a value with its doubt. Low ≤ Likely ≤ High.
type Range struct{ Low, Likely, High float64 }

// A Fact is one statement of one source about a species, in its own words or
// numbers.
type Fact struct {
	Attribute string // such as "flood_tolerance_class"
	Value     string
	Unit      string // empty for words
	Basis     Basis
	Source    string // ID in the table of sources
	Note      string
}

// A Source is a publication, database or rule that facts come from.
type Source struct {
	ID       string
	Short    string // what it is called in the middle of a sentence
	Citation string
	Address  string // of the publisher or of the copy read; empty if it was not seen
	Remark   string // such as "abstract" or "read in a public copy"
}

// An Entry is what is known of one species.
type Entry struct {
	Scientific string
	Common     []string // most usual first
	Synonyms   []string // other scientific names, not in use here

	Class      Class
	Confidence string // "low", "medium" or "high"
	Days       Range  // survived with the root zone saturated, growing season, established
	DaysBasis  Basis  // of the likely figure
	Clash      string // how the sources disagree, one sentence; empty if they do not

	Depth      *float64 // deepest standing water borne, m; nil where unknown
	WaterTable *Range   // depth to the water table wanted, m; nil where unknown

	Stratum   string // "low", "medium", "high" or "emergent"
	Uses      []string
	Spacing   *Range // m
	Height    *Range // mature, m
	Hardiness string // USDA zones, such as "6a-9b"; empty where unknown
	Salt      string
	Invasive  string // caution; empty if none is recorded

	Facts []Fact // the evidence: of each attribute in the order of trust, the first being the one used
	Own   bool   // from the grower's own table, wholly or in part
}

// Name is the usual common name, or the scientific one where there is none.
func (e *Entry) Name() string {
	if len(e.Common) > 0 {
		return e.Common[0]
	}
	return e.Scientific
}

// Label is the common name with the scientific one behind it.
func (e *Entry) Label() string {
	if len(e.Common) > 0 {
		return e.Common[0] + " (" + e.Scientific + ")"
	}
	return e.Scientific
}

// Evidence is the facts about one attribute, the one used first.
func (e *Entry) Evidence(attribute string) []Fact {
	var out []Fact
	for _, f := range e.Facts {
		if f.Attribute == attribute {
			out = append(out, f)
		}
	}
	return out
}
