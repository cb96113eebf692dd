package mechanics

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/internal/shared"
)

// answer is what the outside program said.
type answer struct {
	down   map[int32]float64       // how far each node of the middle plane has gone down, mm
	stress map[int32][9][6]float64 // of wedges, at their nine places: xx, yy, zz, xy, xz, yz in MPa
	hertz  []float64
	wall   time.Duration // of the program's whole run: reading its input, writing what is asked
	spent  time.Duration // processor time
}

var versionLine = regexp.MustCompile(`Version (\S+)`)

// program gives the outside program's version; without the program the test is skipped.
func program(t testing.TB) string {
	t.Helper()
	if _, err := exec.LookPath("ccx"); err != nil {
		shared.Missing(t, "the finite-element program ccx is not here: apt-get install calculix-ccx")
	}
	out, _ := exec.Command("ccx", "-v").CombinedOutput() // it ends with an error whatever one asks it
	m := versionLine.FindSubmatch(out)
	require.NotNil(t, m, "ccx -v says %q", out)
	return "ccx " + string(m[1])
}

// run asks the outside program.
func (j *job) run(t testing.TB) *answer {
	t.Helper()
	dir := t.TempDir()
	f, err := os.Create(filepath.Join(dir, "panel.inp"))
	require.NoError(t, err)
	require.NoError(t, j.deck(f))
	require.NoError(t, f.Close())
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, "ccx", "-i", "panel")
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "OMP_NUM_THREADS=1", "CCX_NPROC_EQUATION_SOLVER=1", "OMPI_MCA_btl=self", "OMPI_ALLOW_RUN_AS_ROOT=1", "OMPI_ALLOW_RUN_AS_ROOT_CONFIRM=1")
	begun := time.Now()
	out, err := cmd.CombinedOutput()
	a := &answer{wall: time.Since(begun), spent: cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()}
	require.NoError(t, err, "%s", tail(out))
	require.Contains(t, string(out), "Job finished", "%s", tail(out))
	data, err := os.ReadFile(filepath.Join(dir, "panel.dat"))
	require.NoError(t, err)
	require.NoError(t, a.read(data))
	middle, cut := 0, map[int32]bool{}
	for i := range j.nodes {
		if j.middle(i) {
			middle++
		}
	}
	for _, c := range j.cuts {
		for _, e := range c.side {
			cut[e] = true
		}
	}
	require.Len(t, a.down, middle)
	require.Len(t, a.stress, len(cut))
	require.GreaterOrEqual(t, len(a.hertz), j.frequencies)
	return a
}

func tail(out []byte) []byte { return out[max(0, len(out)-2000):] }

// read takes apart what the program prints: tables under headings.
func (a *answer) read(data []byte) error {
	const none, displacements, stresses, eigenvalues = 0, 1, 2, 3
	under := none
	a.down = map[int32]float64{}
	a.stress = map[int32][9][6]float64{}
	s := bufio.NewScanner(bytes.NewReader(data))
	for s.Scan() {
		line := s.Text()
		fields := strings.Fields(line)
		switch {
		case len(fields) == 0:
			continue
		case strings.Contains(line, "displacements (vx,vy,vz)"):
			under = displacements
			continue
		case strings.Contains(line, "stresses (elem"):
			under = stresses
			continue
		case strings.Contains(line, "E I G E N V A L U E   O U T P U T"):
			under = eigenvalues
			continue
		}
		if strings.Contains(line, "P A R T I C I P A T I O N") {
			break // what follows is of modes
		}
		v := make([]float64, len(fields))
		var err error
		for i, f := range fields {
			if v[i], err = strconv.ParseFloat(f, 64); err != nil {
				break
			}
		}
		if err != nil { // words
			if under == eigenvalues {
				continue
			}
			under = none
			continue
		}
		switch {
		case under == displacements && len(v) == 4:
			a.down[int32(v[0])-1] = -v[3]
		case under == stresses && len(v) == 8 && v[1] >= 1 && v[1] <= 9:
			e := int32(v[0]) - 1
			nine := a.stress[e]
			copy(nine[int(v[1])-1][:], v[2:])
			a.stress[e] = nine
		case under == eigenvalues && len(v) == 5: // number, eigenvalue, rad/s, Hz, imaginary part
			a.hertz = append(a.hertz, v[3])
		case under != none:
			return fmt.Errorf("not understood: %q", line)
		}
	}
	return s.Err()
}
