package annotate

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/timeline"
)

func TestFold(t *testing.T) {
	note := func(id, text string) *Marker { return &Marker{ID: id, Step: "cortex", Note: text} }
	journal := []Edit{
		{Seq: 1, Changes: []Change{
			{Thing: ThingMarker, ID: "b", Marker: note("b", "one")},
			{Thing: ThingMarker, ID: "a", Marker: note("a", "one")},
			{Thing: ThingAcceptance, ID: "a", Acceptance: &Acceptance{Reason: "the same id in another kind"}},
		}},
		{Seq: 2, Changes: []Change{{Thing: ThingMarker, ID: "a", Base: 1, Marker: note("a", "two")}}},
		{Seq: 3, Changes: []Change{{Thing: ThingMarker, ID: "b", Base: 1}}},
		{Seq: 4, Changes: []Change{{Thing: ThingEvent, ID: "e", Event: &Event{Kind: "view-lost"}}}},
	}
	state := Fold(Reading{ID: "r", Seq: 99}, journal)
	require.Equal(t, ReadingState{
		Reading: Reading{ID: "r", Seq: 4},
		Markers: []Marker{{ID: "a", Seq: 2, Step: "cortex", Note: "two"}},
		Events:  []Event{{ID: "e", Seq: 4, Kind: "view-lost"}}, Comments: []Comment{},
		Acceptances: []Acceptance{{ID: "a", Seq: 1, Reason: "the same id in another kind"}},
	}, state)
	require.Equal(t, int64(0), journal[0].Changes[0].Marker.Seq, "the journal itself is left alone")
	require.Equal(t, state, Fold(Reading{ID: "r"}, journal), "folding twice gives the same")
}

func TestDifferences(t *testing.T) {
	before, after := goodCase(), goodCase()
	require.Empty(t, Differences(before, after))
	after.Revision, after.Change, after.UpdatedAt = 9, 9, 9
	require.Empty(t, Differences(before, after), "what the server counts is no change of a person's")
	after.Before.Age = pointer(70)
	after.SharedWith = []string{"c", "d"}
	require.Equal(t, `[{"field":"before.age","before":null,"after":70},{"field":"sharedWith","before":["c"],"after":["c","d"]}]`,
		detail(Differences(before, after)))
	removed := Differences(Complication{ID: "a", Kind: "uveitis"}, nil)
	require.Contains(t, removed, Difference{Field: "kind", Before: "uveitis", After: nil})
	require.Equal(t, []Difference{{Field: "", Before: "ok", After: "missing"}}, Differences(PartOK, PartMissing))
}

func TestAuditChain(t *testing.T) {
	entry := AuditEntry{Seq: 1, At: 2, ActorID: "a", Action: "case.view", CaseID: "c", ThingID: "t", Detail: "d", RequestID: "r", PrevHash: "p"}
	// printf '{"seq":1,"at":2,"actorId":"a","action":"case.view","caseId":"c","thingId":"t","detail":"d","requestId":"r","prevHash":"p","hash":""}' | sha256sum
	require.Equal(t, auditVector, entry.chained())
	changed := []AuditEntry{entry, entry, entry, entry, entry, entry, entry, entry, entry}
	changed[0].Seq, changed[1].At, changed[2].ActorID, changed[3].Action, changed[4].CaseID = 9, 9, "9", "9", "9"
	changed[5].ThingID, changed[6].Detail, changed[7].RequestID, changed[8].PrevHash = "9", "9", "9", "9"
	for i, other := range changed {
		require.NotEqual(t, entry.chained(), other.chained(), "field %d is not covered", i)
	}
	entry.Hash = "anything"
	require.Equal(t, auditVector, entry.chained(), "the hash does not cover itself")
}

// auditVector was computed by sha256sum of GNU coreutils over the line above.
const auditVector = "3ac9c58427327cd1645323a4971340efec291a268f2250aca54bd20a2d313ad5"

// TestTheFormOfTheJournalStays pins the JSON of an edit that uses every field, because journals of before are compared
// with hashes of it.
func TestTheFormOfTheJournalStays(t *testing.T) {
	at, end := timeline.Instant{Part: "p", Ms: 1}, timeline.Instant{Part: "q", Ms: 2}
	list := StepListRef{ID: "l", Version: 3}
	edit := Edit{ID: "e", Action: "redo", Undoes: "u", Seq: 4, AuthorID: "a", MadeAt: 5, Changes: []Change{
		{Thing: ThingMarker, ID: "m", Base: 6, Marker: &Marker{ID: "m", Seq: 4, Step: "s", StepList: list, Start: at, End: &end, OperatorID: "o", Note: "n"}},
		{Thing: ThingEvent, ID: "v", Event: &Event{ID: "v", Seq: 4, Kind: "k", At: at, Note: "n", StepList: &list}},
		{Thing: ThingComment, ID: "c", Comment: &Comment{
			ID: "c", Seq: 4, AuthorID: "a", MadeAt: 5, At: at, End: &end, Text: "t", ReplyTo: "r",
			Shape: &Shape{Kind: "ring", Points: [][2]float64{{0.25, 0.5}}}, Settled: true,
		}},
		{Thing: ThingAcceptance, ID: "w", Acceptance: &Acceptance{ID: "w", Seq: 4, Reason: "r", AuthorID: "a"}},
		{Thing: ThingMarker, ID: "x", Base: 7},
	}}
	require.Equal(t, `{"id":"e","action":"redo","undoes":"u","changes":[`+
		`{"thing":"marker","id":"m","base":6,"marker":{"id":"m","seq":4,"step":"s","stepList":{"id":"l","version":3},"start":{"part":"p","ms":1},"end":{"part":"q","ms":2},"operatorId":"o","note":"n"}},`+
		`{"thing":"event","id":"v","base":0,"event":{"id":"v","seq":4,"kind":"k","at":{"part":"p","ms":1},"note":"n","stepList":{"id":"l","version":3}}},`+
		`{"thing":"comment","id":"c","base":0,"comment":{"id":"c","seq":4,"authorId":"a","madeAt":5,"at":{"part":"p","ms":1},"end":{"part":"q","ms":2},"text":"t","replyTo":"r","shape":{"kind":"ring","points":[[0.25,0.5]]},"settled":true}},`+
		`{"thing":"acceptance","id":"w","base":0,"acceptance":{"id":"w","seq":4,"reason":"r","authorId":"a"}},`+
		`{"thing":"marker","id":"x","base":7}],"seq":4,"authorId":"a","madeAt":5}`, jsonText(edit))
	require.Equal(t, `{"id":"e","action":"add","changes":[{"thing":"marker","id":"m","base":0,"marker":{"id":"m","seq":1,"step":"s","stepList":{"id":"l","version":3},"start":{"part":"p","ms":1},"end":null}}],"seq":1,"authorId":"a","madeAt":5}`,
		jsonText(Edit{ID: "e", Action: "add", Seq: 1, AuthorID: "a", MadeAt: 5, Changes: []Change{
			{Thing: ThingMarker, ID: "m", Marker: &Marker{ID: "m", Seq: 1, Step: "s", StepList: list, Start: at}},
		}}))
}
