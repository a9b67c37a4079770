package report

import (
	"encoding/json"
	"io"
)

// explainJSON writes rules with all that is to be said about them.
func explainJSON(w io.Writer, m *Manual) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(map[string]any{"tool": "sluice", "version": m.Version, "rules": m.Chosen})
}
