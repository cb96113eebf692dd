package thieving

import (
	"context"
	"fmt"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/waste"
)

// filling is one piece of waste and what is drawn on it.
type filling struct {
	name   string // "rail/upper", "waste/1"
	region geom.Region
	room   geom.Region // where the middle of a dot or line may be
	dots   []panel.Dot
	lines  []panel.PenLine
}

// box is what the drawn takes up.
func (f filling) box() geom.Box {
	b := geom.EmptyBox()
	for _, d := range f.dots {
		b = b.Union(geom.BoxOf(d.At).Grow((d.Diameter + 1) / 2))
	}
	for _, l := range f.lines {
		b = b.Union(l.Path.Box().Grow((l.Width + 1) / 2))
	}
	return b
}

// fill lays the pattern on all pieces that have room for some of it. Waste that is no rail is numbered, where
// something goes on it.
func (s *Thieving) fill(ctx context.Context, env *pipeline.Env, in panel.Panel, pieces []waste.Piece, off *waste.Off) ([]filling, error) {
	pen := s.DotDiameter - 2*play
	if s.Pattern == crossedLines {
		pen = s.LineWidth
	}
	list, err := rooms(ctx, env, pieces, off, pen)
	if err != nil {
		return nil, err
	}
	number := 0
	var out []filling
	taken := newTaken(s.DotPitch)
	lattice := newLattice(in.Outline().Box().Center(), s.LinePitch)
	for _, f := range list {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if s.Pattern == crossedLines {
			f.lines = lattice.lay(f.room, s.LineWidth, off)
		} else {
			f.dots = s.lay(f.room, off, taken)
		}
		if f.name == "waste" {
			if len(f.dots)+len(f.lines) == 0 {
				continue
			}
			number++
			f.name = fmt.Sprintf("waste/%d", number)
		}
		out = append(out, f)
	}
	return out, nil
}

// rooms gives the pieces that have room for the middle of the pen.
func rooms(ctx context.Context, env *pipeline.Env, pieces []waste.Piece, off *waste.Off, pen geom.Length) ([]filling, error) {
	var out []filling
	var rest geom.Region
	var index geom.Index[int]
	for _, p := range pieces {
		if p.Name == "waste" {
			index.Insert(p.Region.Box(), len(rest))
			rest = append(rest, p.Region...)
			continue
		}
		room, err := off.Room(ctx, p.Region, pen, env.Workers)
		if err != nil {
			return nil, err
		}
		if len(room) > 0 {
			out = append(out, filling{name: p.Name, region: p.Region, room: room})
		}
	}
	// The other pieces do not touch one another: their room is worked out at once.
	room, err := off.Room(ctx, rest, pen, env.Workers)
	if err != nil {
		return nil, err
	}
	at := make([]geom.Region, len(rest))
	for _, o := range room {
		in := -1
		q := o.Outer[0].From
		index.Search(geom.BoxOf(q), func(_ geom.Box, i int) bool {
			if rest[i].Locate(q) != geom.Outside && (in < 0 || i < in) {
				in = i
			}
			return true
		})
		if in >= 0 {
			at[in] = append(at[in], o)
		}
	}
	for i, r := range at {
		if len(r) > 0 {
			out = append(out, filling{name: "waste", region: rest[i : i+1], room: r})
		}
	}
	return out, nil
}

// play is by how much a dot's radius is taken to be less while it is found out where there is room at all: a row
// that just fits has room without any width. Whether a dot keeps its distances is measured with all of it.
const play = 1 * geom.NM

// lay puts dots on a grid in the middle of the room's box, wherever a whole one has room.
func (s *Thieving) lay(room geom.Region, off *waste.Off, taken *taken) []panel.Dot {
	box := room.Box().Grow(-play)
	columns, left := grid(box.Min.X, box.Max.X, s.DotPitch)
	rows, low := grid(box.Min.Y, box.Max.Y, s.DotPitch)
	where := geom.NewLocator(room)
	var out []panel.Dot
	for row := range rows {
		for column := range columns {
			at := geom.Pt(left+geom.Length(column)*s.DotPitch, low+geom.Length(row)*s.DotPitch)
			if where.Locate(at) != geom.Outside && off.Free(geom.Line(at, at), s.DotDiameter) && taken.free(at) {
				out = append(out, panel.Dot{At: at, Diameter: s.DotDiameter})
			}
		}
	}
	for _, d := range out { // dots of one piece are a pitch apart anyway
		taken.take(d.At)
	}
	return out
}

// grid gives how many places a pitch apart there are between two ends, and the first of them, so that what is left
// over is the same at both ends, to the nanometre.
func grid(from, to, pitch geom.Length) (count int, first geom.Length) {
	n := (to - from) / pitch
	return int(n) + 1, from + (to-from-n*pitch)/2
}

// taken knows where dots of other pieces lie.
type taken struct {
	pitch geom.Length
	cells map[geom.Point][]geom.Point
}

func newTaken(pitch geom.Length) *taken {
	return &taken{pitch, map[geom.Point][]geom.Point{}}
}

func (t *taken) cell(p geom.Point) geom.Point { return geom.Pt(p.X/t.pitch, p.Y/t.pitch) }

func (t *taken) take(p geom.Point) {
	c := t.cell(p)
	t.cells[c] = append(t.cells[c], p)
}

// free tells whether a dot at p is at least a pitch away from those of other pieces.
func (t *taken) free(p geom.Point) bool {
	c := t.cell(p)
	for x := c.X - 1; x <= c.X+1; x++ {
		for y := c.Y - 1; y <= c.Y+1; y++ {
			if slices.ContainsFunc(t.cells[geom.Pt(x, y)], func(q geom.Point) bool {
				d := p.Sub(q)
				return d.Dot(d) < int64(t.pitch)*int64(t.pitch)
			}) {
				return false
			}
		}
	}
	return true
}
