package dxf

// valueKind is how the value of a group is stored in the binary form.
type valueKind uint8

const (
	noValue   valueKind = iota // there is no such code
	textValue                  // up to a NUL
	doubleValue
	int16Value
	int32Value
	int64Value
	boolValue  // one byte
	chunkValue // a byte that says how many follow
)

// valueBytes is the size of numbers.
var valueBytes = [...]int{doubleValue: 8, int16Value: 2, int32Value: 4, int64Value: 8, boolValue: 1}

// minCode and maxCode bound the group codes there are.
const (
	minCode = -5
	maxCode = 1071
)

// codeRanges says which codes have which kind of value (DXF reference, "Group
// code value types"), in rising order.
var codeRanges = []struct {
	first, last int
	kind        valueKind
}{
	{minCode, 9, textValue},
	{10, 59, doubleValue},
	{60, 79, int16Value},
	{90, 99, int32Value},
	{100, 105, textValue},
	{110, 149, doubleValue},
	{160, 169, int64Value},
	{170, 179, int16Value},
	{210, 239, doubleValue},
	{270, 289, int16Value},
	{290, 299, boolValue},
	{300, 309, textValue},
	{310, 319, chunkValue},
	{320, 369, textValue},
	{370, 389, int16Value},
	{390, 399, textValue},
	{400, 409, int16Value},
	{410, 419, textValue},
	{420, 429, int32Value},
	{430, 439, textValue},
	{440, 459, int32Value},
	{460, 469, doubleValue},
	{470, 481, textValue},
	{999, 1003, textValue},
	{1004, 1004, chunkValue},
	{1005, 1009, textValue},
	{1010, 1059, doubleValue},
	{1060, 1070, int16Value},
	{1071, maxCode, int32Value},
}

// codeKinds holds the same for each code, from minCode on.
var codeKinds = func() (kinds [maxCode - minCode + 1]valueKind) {
	for _, r := range codeRanges {
		for c := r.first; c <= r.last; c++ {
			kinds[c-minCode] = r.kind
		}
	}
	return kinds
}()

func kindOf(code int) valueKind {
	if code < minCode || code > maxCode {
		return noValue
	}
	return codeKinds[code-minCode]
}
