// Package oracle asks other solvers, where they are installed, for the optimum
// of a programme written in MPS. It serves tests only: two solvers that share
// no code and agree are good witnesses.
package oracle

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
)

// Errors that a test can tell apart.
var (
	ErrMissing    = errors.New("the solver is not installed (Debian packages coinor-cbc and glpk-utils)")
	ErrInfeasible = errors.New("the other solver says that the programme has no answer")
	ErrUnbounded  = errors.New("the other solver says that the cost can fall without end")
)

// CBC returns the optimal cost that cbc finds, +Inf and ErrInfeasible or
// ErrUnbounded when there is none, ErrMissing when cbc is not installed. The
// gap allowed is zero.
func CBC(ctx context.Context, mps []byte) (float64, error) {
	return ask(ctx, mps, "cbc", func(model, answer string) []string {
		return []string{model, "-ratioGap", "0", "-allowableGap", "0", "-solve", "-solution", answer}
	}, readCBC)
}

// GLPK is like CBC, with glpsol.
func GLPK(ctx context.Context, mps []byte) (float64, error) {
	return ask(ctx, mps, "glpsol", func(model, answer string) []string {
		return []string{"--freemps", model, "-o", answer}
	}, readGLPK)
}

func ask(ctx context.Context, mps []byte, program string, arguments func(model, answer string) []string, read func(string) (float64, error)) (float64, error) {
	path, err := exec.LookPath(program)
	if err != nil {
		return math.Inf(1), fmt.Errorf("%s: %w", program, ErrMissing)
	}
	dir, err := os.MkdirTemp("", "oracle")
	if err != nil {
		return math.Inf(1), err
	}
	defer os.RemoveAll(dir)
	model, answer := filepath.Join(dir, "model.mps"), filepath.Join(dir, "answer.txt")
	if err := os.WriteFile(model, mps, 0o600); err != nil {
		return math.Inf(1), err
	}
	said, err := exec.CommandContext(ctx, path, arguments(model, answer)...).CombinedOutput()
	if err != nil {
		return math.Inf(1), fmt.Errorf("%s: %w: %s", program, err, said)
	}
	text, err := os.ReadFile(answer)
	if err != nil {
		return math.Inf(1), fmt.Errorf("%s wrote no answer: %s", program, said)
	}
	cost, err := read(string(text))
	if err != nil {
		return math.Inf(1), fmt.Errorf("%s: %w", program, err)
	}
	return cost, nil
}

// The first line of cbc's answer reads "Optimal - objective value 12.5".
func readCBC(answer string) (float64, error) {
	first, _, _ := strings.Cut(answer, "\n")
	switch {
	case strings.HasPrefix(first, "Infeasible"), strings.HasPrefix(first, "Integer infeasible"):
		return 0, ErrInfeasible
	case strings.HasPrefix(first, "Unbounded"):
		return 0, ErrUnbounded
	case !strings.HasPrefix(first, "Optimal"):
		return 0, fmt.Errorf("no optimum: %s", first)
	}
	f := strings.Fields(first)
	return strconv.ParseFloat(f[len(f)-1], 64)
}

var (
	glpkStatus = regexp.MustCompile(`(?m)^Status:\s+(.*?)\s*$`)
	glpkCost   = regexp.MustCompile(`(?m)^Objective:\s+\S+ = (\S+)`)
)

// glpsol's report has lines "Status: INTEGER OPTIMAL" and
// "Objective: COST = 12.5 (MINimum)".
func readGLPK(answer string) (float64, error) {
	status, cost := glpkStatus.FindStringSubmatch(answer), glpkCost.FindStringSubmatch(answer)
	if status == nil || cost == nil {
		return 0, errors.New("the report has another look than expected")
	}
	switch {
	case status[1] == "OPTIMAL" || status[1] == "INTEGER OPTIMAL":
		return strconv.ParseFloat(cost[1], 64)
	case strings.Contains(status[1], "UNBOUNDED"):
		return 0, ErrUnbounded
	case strings.Contains(status[1], "EMPTY"), strings.Contains(status[1], "INFEASIBLE"), strings.Contains(status[1], "UNDEFINED"):
		return 0, ErrInfeasible
	}
	return 0, fmt.Errorf("no optimum: %s", status[1])
}
