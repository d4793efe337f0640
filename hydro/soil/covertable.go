package soil

// Where the rows of the table come from.
const (
	seenTR55  = "TR-55 (1986) tables 2-2a to 2-2c, seen in a reprint"
	seenSCS   = "USDA-SCS (1985) as reprinted in Beven, Rainfall-Runoff Modelling, table B6.3.1"
	fromTR55  = "TR-55 (1986) tables 2-2a to 2-2c, from memory"
	anyGround = "TR-55 (1986): paved ground, roofs and drives are 98 whatever the soil"
)

// covers is the table of curve numbers for antecedent condition II. The rows
// of one kind stand together, from most runoff to least.
//
// Woods in good condition on group A are 30, the least number for direct use;
// older lists print 25, and only 25 gives the 32 of woods-grass, which is half
// woods and half pasture.
var covers = []Cover{
	{"woods-grass", "", "poor", [4]float64{57, 73, 82, 86}, seenTR55},
	{"woods-grass", "", "fair", [4]float64{43, 65, 76, 82}, seenTR55},
	{"woods-grass", "", "good", [4]float64{32, 58, 72, 79}, seenTR55},
	{"pasture", "", "poor", [4]float64{68, 79, 86, 89}, seenTR55},
	{"pasture", "", "fair", [4]float64{49, 69, 79, 84}, seenTR55},
	{"pasture", "", "good", [4]float64{39, 61, 74, 80}, seenTR55},
	{"meadow", "", "", [4]float64{30, 58, 71, 78}, seenTR55},
	{"brush", "", "poor", [4]float64{48, 67, 77, 83}, seenTR55},
	{"brush", "", "fair", [4]float64{35, 56, 70, 77}, seenTR55},
	{"brush", "", "good", [4]float64{30, 48, 65, 73}, seenTR55},
	{"woods", "", "poor", [4]float64{45, 66, 77, 83}, seenTR55},
	{"woods", "", "fair", [4]float64{36, 60, 73, 79}, seenTR55},
	{"woods", "", "good", [4]float64{30, 55, 70, 77}, seenTR55},
	{"farmstead", "", "", [4]float64{59, 74, 82, 86}, seenTR55},
	{"open space", "", "poor", [4]float64{68, 79, 86, 89}, fromTR55},
	{"open space", "", "fair", [4]float64{49, 69, 79, 84}, fromTR55},
	{"open space", "", "good", [4]float64{39, 61, 74, 80}, fromTR55},
	{"fallow", "bare", "", [4]float64{77, 86, 91, 94}, seenSCS},
	{"fallow", "crop residue", "poor", [4]float64{76, 85, 90, 93}, fromTR55},
	{"fallow", "crop residue", "good", [4]float64{74, 83, 88, 90}, fromTR55},
	{"row crops", "straight", "poor", [4]float64{72, 81, 88, 91}, fromTR55},
	{"row crops", "straight", "good", [4]float64{67, 78, 85, 89}, fromTR55},
	{"row crops", "contoured", "poor", [4]float64{70, 79, 84, 88}, seenSCS},
	{"row crops", "contoured", "good", [4]float64{65, 75, 82, 86}, seenSCS},
	{"row crops", "terraced", "poor", [4]float64{66, 74, 80, 82}, fromTR55},
	{"row crops", "terraced", "good", [4]float64{62, 71, 78, 81}, fromTR55},
	{"small grain", "straight", "poor", [4]float64{65, 76, 84, 88}, fromTR55},
	{"small grain", "straight", "good", [4]float64{63, 75, 83, 87}, fromTR55},
	{"small grain", "contoured", "poor", [4]float64{63, 74, 82, 85}, seenSCS},
	{"small grain", "contoured", "good", [4]float64{61, 73, 81, 84}, seenSCS},
	{"small grain", "terraced", "poor", [4]float64{61, 72, 79, 82}, fromTR55},
	{"small grain", "terraced", "good", [4]float64{59, 70, 78, 81}, fromTR55},
	{"rotation meadow", "straight", "poor", [4]float64{66, 77, 85, 89}, fromTR55},
	{"rotation meadow", "straight", "good", [4]float64{58, 72, 81, 85}, fromTR55},
	{"rotation meadow", "contoured", "poor", [4]float64{64, 75, 83, 85}, seenSCS},
	{"rotation meadow", "contoured", "good", [4]float64{55, 69, 78, 83}, seenSCS},
	{"rotation meadow", "terraced", "poor", [4]float64{63, 73, 80, 83}, fromTR55},
	{"rotation meadow", "terraced", "good", [4]float64{51, 67, 76, 80}, fromTR55},
	{"dirt road", "", "", [4]float64{72, 82, 87, 89}, seenSCS},
	{"gravel road", "", "", [4]float64{76, 85, 89, 91}, fromTR55},
	{"paved", "", "", [4]float64{98, 98, 98, 98}, anyGround},
}
