// Command wetfeet tells a grower which planned trees would stand in water.
//
// It reads the ground (a raster of elevations or a list of spot heights) and
// a planting, finds where the ground holds and gathers water, holds every
// planned tree against what its species bears, and writes a map, a page, a
// field list and files for other programs.
//
// Results go to standard output, remarks and progress to standard error.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/alecthomas/kong"
)

// What the exit status says to a script.
const (
	exitOK     = 0
	exitFailed = 1 // something broke on the way
	exitUsage  = 2 // the arguments made no sense
	exitInput  = 3 // the files did; another file or a mended one would work
)

func main() {
	i := &interrupter{stderr: os.Stderr}
	ctx, stop := i.watch(context.Background())
	status := runWith(ctx, i, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(status)
}

// commands is the command line.
type commands struct {
	Assess  assessCommand  `cmd:"" help:"Hold every planned tree against the ground it is to stand in (the main job)."`
	Serve   serveCommand   `cmd:"" help:"Open a site as a page in the browser, to plan on."`
	New     newCommand     `cmd:"" help:"Begin a site from the files you have: a folder with a site file, every default told."`
	Survey  surveyCommand  `cmd:"" help:"From a field book or spot heights to a ground, its error and a contour plan."`
	Advise  adviseCommand  `cmd:"" help:"What to do about it: change places, raise, swap, drain, measure; and a new site file with that in."`
	Drain   drainCommand   `cmd:"" help:"What the ground alone says: hollows, flow, wetness."`
	Species speciesCommand `cmd:"" help:"Show what is known of a species, and who says so."`
	Log     logCommand     `cmd:"" help:"Keep the observation book of a site: what was seen after a storm."`
	Learn   learnCommand   `cmd:"" help:"Learn from the observation book: soil, ground, water table, tolerance, before and after."`

	Version kong.VersionFlag `help:"Print the version and stop."`
}

// A call is what a command needs from the process it runs in.
type call struct {
	ctx    context.Context
	stdout io.Writer
	stderr io.Writer
	say    *progress

	interrupts *interrupter
}

// run is the program without the process: no globals, no os.Exit, so that a
// test can call it twice.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) (status int) {
	return runWith(ctx, &interrupter{stderr: stderr}, args, stdout, stderr)
}

func runWith(ctx context.Context, i *interrupter, args []string, stdout, stderr io.Writer) (status int) {
	type leave int
	defer func() { // help and version end the parse early
		if r := recover(); r != nil {
			code, ok := r.(leave)
			if !ok {
				panic(r)
			}
			status = int(code)
		}
	}()
	var c commands
	parser, err := kong.New(&c,
		kong.Name("wetfeet"),
		kong.Description("Which of your planned trees would stand in water, and what to do about it.\n\n"+
			"Lengths take a unit (15 ft, 4.5 m, 6 in, 150 mm); a bare number is metres."),
		kong.Writers(stdout, stderr),
		kong.Exit(func(code int) { panic(leave(code)) }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, Summary: true, WrapUpperBound: lineWidth}),
		kong.Vars{"version": "wetfeet " + version()},
	)
	if err != nil {
		panic(err) // the declarations above are at fault, not the user
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	parsed, err := parser.Parse(joinNegative(args))
	if err != nil {
		fmt.Fprintf(stderr, "wetfeet: %v\n", err)
		fmt.Fprintf(stderr, "wetfeet --help lists the commands; wetfeet COMMAND --help its flags\n")
		return exitUsage
	}
	s := &call{ctx: ctx, stdout: stdout, stderr: stderr, say: newProgress(stderr), interrupts: i}
	err = parsed.Run(s)
	s.say.end()
	return explain(stderr, err)
}

// errUsage marks arguments that parse but make no sense together.
var errUsage = errors.New("usage")

// joinNegative ties a number below zero to the flag before it, as in
// --origin -99.25,29.5: by itself it would be taken for flags of one letter.
func joinNegative(args []string) []string {
	var out []string
	for i, a := range args {
		number := len(a) > 1 && a[0] == '-' && (a[1] == '.' || a[1] >= '0' && a[1] <= '9')
		if before := i - 1; number && before >= 0 && strings.HasPrefix(args[before], "-") && !strings.Contains(args[before], "=") {
			out[len(out)-1] += "=" + a
			continue
		}
		out = append(out, a)
	}
	return out
}
