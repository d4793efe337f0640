package look

// What a long section is drawn in: the ground seen from its side, cut open.
var (
	SectionSoil  = rgb(0xe6dcc8)
	SoilLine     = rgb(0x6b5334)
	SoilDetail   = rgb(0xb39d7c)
	SectionWater = rgb(0x9cc7e6)
	WaterLine    = Shore
)
