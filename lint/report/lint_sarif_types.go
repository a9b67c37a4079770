package report

// The parts of a SARIF log that are written, named as in the standard.

type sarifLog struct {
	Schema  string     `json:"$schema"`
	Version string     `json:"version"`
	Runs    []sarifRun `json:"runs"`
}

type sarifRun struct {
	Tool struct {
		Driver sarifDriver `json:"driver"`
	} `json:"tool"`
	Invocations []sarifInvocation `json:"invocations"`
	Artifacts   []sarifArtifact   `json:"artifacts,omitempty"`
	ColumnKind  string            `json:"columnKind"`
	Results     []sarifResult     `json:"results"`
}

type sarifDriver struct {
	Name    string      `json:"name"`
	Version string      `json:"version,omitempty"`
	Rules   []sarifRule `json:"rules"`
}

type sarifRule struct {
	ID      string       `json:"id"`
	Name    string       `json:"name,omitempty"`
	Short   *sarifText   `json:"shortDescription,omitempty"`
	Full    *sarifText   `json:"fullDescription,omitempty"`
	Help    *sarifHelp   `json:"help,omitempty"`
	Default *sarifConfig `json:"defaultConfiguration,omitempty"`
}

type sarifText struct {
	Text string `json:"text"`
}

type sarifHelp struct {
	Text     string `json:"text"`
	Markdown string `json:"markdown"`
}

type sarifConfig struct {
	Level string `json:"level"`
}

type sarifInvocation struct {
	ExecutionSuccessful bool                `json:"executionSuccessful"`
	Notifications       []sarifNotification `json:"toolExecutionNotifications,omitempty"`
}

type sarifNotification struct {
	Level     string          `json:"level"`
	Message   sarifText       `json:"message"`
	Locations []sarifLocation `json:"locations"`
}

type sarifArtifact struct {
	Location   sarifArtifactLocation `json:"location"`
	Properties *sarifAccount         `json:"properties,omitempty"`
}

// sarifAccount says what became of the entities of a drawing.
type sarifAccount struct {
	Account *accountJSON  `json:"account"`
	LeftOut []leftOutJSON `json:"leftOut"`
}

type sarifArtifactLocation struct {
	URI  string `json:"uri"`
	Base string `json:"uriBaseId,omitempty"`
}

type sarifResult struct {
	RuleID       string            `json:"ruleId"`
	RuleIndex    int               `json:"ruleIndex"`
	Level        string            `json:"level"`
	Message      sarifText         `json:"message"`
	Locations    []sarifLocation   `json:"locations"`
	Fingerprints map[string]string `json:"partialFingerprints"`
	Fixes        []sarifFix        `json:"fixes,omitempty"`
	Properties   sarifProperties   `json:"properties"`
}

type sarifLocation struct {
	Physical *sarifPhysical `json:"physicalLocation,omitempty"`
	Logical  []sarifLogical `json:"logicalLocations,omitempty"`
}

type sarifPhysical struct {
	Artifact sarifArtifactLocation `json:"artifactLocation"`
	Region   *sarifRegion          `json:"region,omitempty"`
}

// sarifRegion is a run of whole lines, or of the part of a line from a column.
type sarifRegion struct {
	StartLine   int `json:"startLine"`
	StartColumn int `json:"startColumn,omitempty"`
	EndLine     int `json:"endLine,omitempty"`
	EndColumn   int `json:"endColumn,omitempty"`
}

type sarifLogical struct {
	Name string `json:"name"`
	Kind string `json:"kind"`
}

// sarifProperties carry what the format has no place for; lengths are mm.
type sarifProperties struct {
	ID       string       `json:"id,omitempty"`
	At       [2]num       `json:"at"`
	Box      [4]num       `json:"box"`
	Entities []string     `json:"entities"`
	Repair   string       `json:"repair"`
	Measure  *measureJSON `json:"measure,omitempty"`
}

type sarifFix struct {
	Description sarifText     `json:"description"`
	Changes     []sarifChange `json:"artifactChanges"`
}

type sarifChange struct {
	Artifact     sarifArtifactLocation `json:"artifactLocation"`
	Replacements []sarifReplacement    `json:"replacements"`
}

type sarifReplacement struct {
	Deleted sarifRegion `json:"deletedRegion"`
}
