package assess

// Cautions are shown with every answer that may lead to digging. They are
// common practice, no source, and give way to local codes and to people
// licensed for the work.
var Cautions = []string{
	"Before digging, have buried pipes, cables and irrigation lines located and marked; call the local locating service where there is one.",
	"A ditch, drain, pond or raised bed that changes where water goes may need a permit, and may be forbidden in or near a wetland, a flood plain or a watercourse. Ask the local authority first.",
	"Do not send water onto a neighbour, a road, a septic field or a building. Who receives it may have a right to object.",
	"Keep the planting distances that local codes and the line's owner ask for near houses, wells, septic systems and power lines.",
	"Trench walls fall in. Deeper than about 1.2 m (4 ft), or in wet ground at any depth, leave it to people equipped and licensed for it.",
	"Standing water drowns small children and breeds mosquitoes. Fence or drain what will stand for days.",
	"The answer is no better than the ground it was given: check a few levels with a staff before moving soil.",
}
