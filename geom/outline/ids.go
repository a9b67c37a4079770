package outline

// Numbers of things, each kind a type of its own so that they are not mixed up.
// What Sheet tells, strokes among it, is numbered by int32.
type (
	strokeID int32 // a stroke of the drawing
	pieceID  int32 // a stroke to cut, longer than nothing
	pieceEnd int32 // an end of a piece: twice its number, and one more for its end B
	nodeID   int32 // ends taken as one place
	segID    int32 // a stretch of a piece between two nodes, or a bridge
	halfID   int32 // a half-edge: a seg run from its start (twice its number) or from its end (one more)
	chainID  int32 // an open chain
	endID    int32 // a free end
	faceID   int32 // a face of a planar graph
)

func (p pieceID) start() pieceEnd { return pieceEnd(2 * p) }
func (p pieceID) end() pieceEnd   { return pieceEnd(2*p + 1) }

func (e pieceEnd) piece() pieceID { return pieceID(e / 2) }
func (e pieceEnd) isB() bool      { return e%2 == 1 }

// ahead and back are the two half-edges of a seg.
func (s segID) ahead() halfID { return halfID(2 * s) }
func (s segID) back() halfID  { return halfID(2*s + 1) }

func (s segID) halfs() [2]halfID { return [2]halfID{s.ahead(), s.back()} }

func (h halfID) seg() segID   { return segID(h / 2) }
func (h halfID) twin() halfID { return h ^ 1 }
func (h halfID) isBack() bool { return h%2 == 1 }
