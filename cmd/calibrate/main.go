// Calibrate holds the odds of the program against made sites whose truth is
// known, prints a table and writes it with a diagram of reliability into a
// folder.
//
//	go run ./cmd/calibrate cmd/internal/calibration/result
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

func main() {
	sites := flag.Int("sites", 120, "made sites, 2 at least")
	draws := flag.Int("draws", 100, "draws of each, 2 at least")
	seed := flag.Uint64("seed", 1, "of the sites and of the draws")
	flag.Usage = func() {
		fmt.Fprintln(os.Stderr, "usage: calibrate [-sites N] [-draws N] [-seed N] FOLDER")
		flag.PrintDefaults()
	}
	flag.Parse()
	if flag.NArg() != 1 || *sites < 2 || *draws < 2 {
		flag.Usage()
		os.Exit(2)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := calibrate(ctx, flag.Arg(0), *seed, *sites, *draws); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// calibrate writes into a folder that is there already.
func calibrate(ctx context.Context, folder string, seed uint64, sites, draws int) error {
	answers, err := calibration.Run(ctx, seed, sites, draws, func(done int) {
		fmt.Fprintf(os.Stderr, "\r%d of %d sites", done, sites)
	})
	fmt.Fprintln(os.Stderr)
	if err != nil {
		return err
	}
	scores := calibration.Scores(answers)
	var table bytes.Buffer
	if err := calibration.WriteTable(&table, scores); err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(folder, "table.md"), table.Bytes(), 0o644); err != nil {
		return err
	}
	picture := scores[0].Diagram()
	if err := os.WriteFile(filepath.Join(folder, "reliability.svg"), []byte(picture.SVG()), 0o644); err != nil {
		return err
	}
	fmt.Fprintf(&table, "\nWith an allowance of %.2f, not the program's %.2f, nine in ten of these hollows would be held.\n", calibration.Allowance(answers), odds.Allowance)
	_, err = os.Stdout.Write(table.Bytes())
	return err
}
