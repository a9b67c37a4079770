package rules

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime/debug"
	"runtime/metrics"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"sluice/fixtures/gen/crane"
	"sluice/fixtures/gen/draw"
	"sluice/fixtures/gen/mutate"
	"sluice/geom/dxf"
	"sluice/lint"
	"sluice/lint/job"
)

// mutantSeeds are the files that are damaged: the drawings of the rules, pieces
// of the demo kit in every form, the broken and odd files of the reader, and the
// samples where they are at hand. large are those that take long to judge.
func mutantSeeds(t *testing.T) (seeds, large [][]byte) {
	t.Helper()
	sampleDir := os.Getenv("SLUICE_SAMPLES")
	if sampleDir == "" {
		sampleDir = "../../../shared/samples"
	}
	for _, glob := range []string{"flaws/*/*.dxf", "../../testdata/broken/*.dxf", "../../testdata/reading/*.dxf", filepath.Join(sampleDir, "*.dxf")} {
		names, err := filepath.Glob(glob)
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			switch b, err := os.ReadFile(name); {
			case err != nil:
				t.Fatal(err)
			case len(b) < 30_000:
				seeds = append(seeds, b)
			default:
				large = append(large, b)
			}
		}
	}
	// Eight parts of the kit at a time keep a mutant quick.
	for from := 0; from < 64; from += 8 {
		for form := crane.Mixed; form <= crane.Blocks; form++ {
			k := crane.Flawed()
			if from >= len(k.Parts) {
				break
			}
			k.Parts = k.Parts[from:min(from+8, len(k.Parts))]
			var b bytes.Buffer
			if err := k.Drawing(form).WriteBare(&b); err != nil {
				t.Fatal(err)
			}
			seeds = append(seeds, b.Bytes())
			if form == crane.Mixed {
				for _, old := range []bool{true, false} {
					bin, err := draw.Binary(b.Bytes(), old)
					if err != nil {
						t.Fatal(err)
					}
					seeds = append(seeds, bin)
				}
			}
		}
	}
	if len(seeds) < 80 {
		t.Fatalf("only %d seeds", len(seeds))
	}
	return seeds, large
}

// mutant returns damaged file number i, the same for the same chance. One in a
// hundred is of a large file.
func mutant(seeds, large [][]byte, chance uint64, i int) []byte {
	r := rand.New(rand.NewPCG(chance, uint64(i)))
	seed := seeds[r.IntN(len(seeds))]
	if len(large) > 0 && r.IntN(100) == 0 {
		seed = large[r.IntN(len(large))]
	}
	if bytes.HasPrefix(seed, []byte("AutoCAD Binary")) || r.IntN(20) == 0 {
		return mutate.Binary(r, seed)
	}
	return mutate.Text(r, seed)
}

// judgeMutant reads a damaged file and judges it where asked. It reports
// whether the file could be read, and what must not be.
func judgeMutant(ctx context.Context, data []byte, j *job.Job, judge bool) (read bool, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v\n%s", p, debug.Stack())
		}
	}()
	o := lint.Options{Rules: All(), Workers: 1}
	d, err := lint.Load(ctx, bytes.NewReader(data), j, o)
	_, strict := dxf.ReadStrict(ctx, bytes.NewReader(data), o.Read)
	if err != nil {
		switch text := err.Error(); {
		case ctx.Err() != nil:
			return false, ctx.Err()
		case strict == nil:
			return false, fmt.Errorf("read strictly, but else refused: %w", err)
		case text == "" || strings.ContainsAny(text, "\n\r"):
			return false, fmt.Errorf("refused with %q", text)
		}
		if e, ok := err.(*dxf.Error); !ok || e.Line == 0 && e.Entity == "" && !strings.HasPrefix(e.Text, "this is ") && !strings.HasPrefix(e.Text, "the file ") {
			return false, fmt.Errorf("the refusal names no place: %w", err)
		}
		return false, nil
	}
	if err := d.Check(); err != nil {
		return true, err
	}
	if !judge {
		return true, nil
	}
	res, err := lint.Judge(ctx, "mutant.dxf", d, j, o)
	if err != nil {
		return true, err
	}
	if a := &res.Account; !a.Balanced() || a.Read != len(d.Entities) {
		return true, fmt.Errorf("account %+v of %d entities", *a, len(d.Entities))
	}
	for i := range res.Findings {
		if f := &res.Findings[i]; !f.At.Finite() || f.Message == "" {
			return true, fmt.Errorf("finding %+v", *f)
		}
	}
	return true, nil
}

// TestMutants reads damaged files, and judges one in SLUICE_MUTANTS_JUDGED of
// them. SLUICE_MUTANTS says how many (default 600), SLUICE_MUTANTS_CHANCE which,
// SLUICE_MUTANTS_KEEP where to keep those that fail, the slowest and the
// largest. None may panic, run for more than 5 s or take more than 512 MiB, and
// each is read with an account of what was lost or refused with a line.
func TestMutants(t *testing.T) {
	env := func(name string, def int) int {
		if v, err := strconv.Atoi(os.Getenv(name)); err == nil {
			return v
		}
		return def
	}
	n, chance, judged := env("SLUICE_MUTANTS", 600), uint64(env("SLUICE_MUTANTS_CHANCE", 1)), env("SLUICE_MUTANTS_JUDGED", 4)
	long := n > 1000
	keep := func(what string, data []byte) {
		if dir := os.Getenv("SLUICE_MUTANTS_KEEP"); dir != "" {
			os.WriteFile(filepath.Join(dir, fmt.Sprintf("%d-%s.dxf", chance, what)), data, 0o644)
		}
	}
	seeds, large := mutantSeeds(t)
	jobs := []*job.Job{job.Default(), job.Default()}
	jobs[1].Sheet.Thickness, jobs[1].Sheet.Size, jobs[1].Table.SlatPitch = 3, []float64{600, 400}, 25

	// A run that never ends is shown by name.
	var at atomic.Int64
	done := make(chan struct{})
	defer close(done)
	go func() {
		last, same := int64(-1), 0
		for {
			select {
			case <-done:
				return
			case <-time.After(10 * time.Second):
			}
			if now := at.Load(); now != last {
				last, same = now, 0
			} else if same++; same >= 6 {
				keep(fmt.Sprintf("hangs-%d", now), mutant(seeds, large, chance, int(now)))
				panic(fmt.Sprintf("mutant %d of chance %d runs for a minute", now, chance))
			}
		}
	}()

	read, refused, judgedN := 0, 0, 0
	var slowest time.Duration
	var largest uint64
	slowestAt, largestAt := 0, 0
	for i := range n {
		at.Store(int64(i))
		data := mutant(seeds, large, chance, i)
		judge := i%judged == 0
		before, t0 := allocated(), time.Now()
		ok, err := judgeMutant(t.Context(), data, jobs[i/judged%2], judge)
		took, took2 := time.Since(t0), allocated()-before
		if err != nil {
			keep(strconv.Itoa(i), data)
			t.Errorf("mutant %d: %v", i, err)
		}
		if ok {
			read++
			if judge {
				judgedN++
			}
		} else {
			refused++
		}
		if took > slowest {
			slowest, slowestAt = took, i
		}
		if took2 > largest {
			largest, largestAt = took2, i
		}
		if long && took > 5*time.Second {
			keep(fmt.Sprintf("slow-%d", i), data)
			t.Errorf("mutant %d took %v", i, took)
		}
		if long && i%10_000 == 9_999 {
			fmt.Printf("chance %d, %d tried: %d read, %d refused, %d judged; slowest %v (%d), largest %.1f MiB (%d)\n",
				chance, i+1, read, refused, judgedN, slowest, slowestAt, float64(largest)/(1<<20), largestAt)
		}
	}
	// What is allocated in all while a file is read bounds what it takes at once.
	if largest > 512<<20 {
		t.Errorf("mutant %d allocated %d MiB", largestAt, largest>>20)
	}
	if read == 0 || refused == 0 {
		t.Errorf("%d read, %d refused: the damage does not bite", read, refused)
	}
	if long {
		keep(fmt.Sprintf("slowest-%d", slowestAt), mutant(seeds, large, chance, slowestAt))
		keep(fmt.Sprintf("largest-%d", largestAt), mutant(seeds, large, chance, largestAt))
	}
	t.Logf("%d mutants: %d read, %d refused, %d judged; slowest %v (%d), most allocated %.1f MiB (%d)",
		n, read, refused, judgedN, slowest, slowestAt, float64(largest)/(1<<20), largestAt)
}

// allocated returns how many bytes were ever taken from the heap.
func allocated() uint64 {
	s := []metrics.Sample{{Name: "/gc/heap/allocs:bytes"}}
	metrics.Read(s)
	return s[0].Value.Uint64()
}
