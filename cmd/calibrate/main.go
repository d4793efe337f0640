// Calibrate holds the odds of the program against made sites whose truth is
// known, prints a table and writes it with a diagram of reliability into a
// folder. Or it tells what allowances other made sites ask for.
//
//	go run ./cmd/calibrate cmd/internal/calibration/result
//	go run ./cmd/calibrate -fit -seed 11 -sites 1920
package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"

	"wetfeet/cmd/internal/calibration"
	"wetfeet/hydro/odds"
)

// naiveSites is of how many of the sites the naive answer is asked for too.
const naiveSites = 120

func main() {
	sites := flag.Int("sites", 1920, "made sites, 2 at least")
	draws := flag.Int("draws", 100, "draws of each, 2 at least")
	seed := flag.Uint64("seed", 1, "of the sites and of the draws")
	fit := flag.Bool("fit", false, "only tell what allowances the sites ask for; no FOLDER")
	flag.Usage = func() {
		fmt.Fprintln(os.Stderr, "usage: calibrate [-sites N] [-draws N] [-seed N] FOLDER\n       calibrate [-sites N] [-draws N] [-seed N] -fit")
		flag.PrintDefaults()
	}
	flag.Parse()
	if *fit != (flag.NArg() == 0) || flag.NArg() > 1 || *sites < 2 || *draws < 2 {
		flag.Usage()
		os.Exit(2)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	naive := naiveSites
	if *fit {
		naive = 0
	}
	answers, err := calibration.Run(ctx, *seed, *sites, *draws, naive, func(done int) {
		fmt.Fprintf(os.Stderr, "\r%d of %d sites", done, *sites)
	})
	fmt.Fprintln(os.Stderr)
	if err == nil && *fit {
		tellAllowances(answers)
	} else if err == nil {
		err = score(flag.Arg(0), answers)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// score prints the table and writes it with the diagram into a folder that is
// there already.
func score(folder string, answers []*calibration.Answer) error {
	var table bytes.Buffer
	if err := calibration.WriteTable(&table, answers); err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(folder, "table.md"), table.Bytes(), 0o644); err != nil {
		return err
	}
	all := calibration.ScoreOf("all", answers)
	picture := all.Diagram()
	if err := os.WriteFile(filepath.Join(folder, "reliability.svg"), []byte(picture.SVG()), 0o644); err != nil {
		return err
	}
	_, err := os.Stdout.Write(table.Bytes())
	return err
}

func tellAllowances(answers []*calibration.Answer) {
	var raster, survey []*calibration.Answer
	for _, a := range answers {
		if a.Surveyed {
			survey = append(survey, a)
		} else {
			raster = append(raster, a)
		}
	}
	tell := func(known string, some []*calibration.Answer, now odds.Allowance) {
		asked := calibration.Allowance(some)
		fmt.Printf("%d sites known by a %s ask for %.2f below and %.2f above; the program has %.2f and %.2f\n",
			len(some), known, asked.Below, asked.Above, now.Below, now.Above)
	}
	tell("raster", raster, odds.ByRaster)
	tell("survey", survey, odds.BySurvey)
}
