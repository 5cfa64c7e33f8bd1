package report_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/server/report"
	"zonule/timeline"
)

// The cast is invented: nobody in it exists.

func ptr[T any](v T) *T { return &v }

func stepList(t testing.TB, name string) annotate.StepList {
	t.Helper()
	content, err := os.ReadFile(filepath.Join("..", "..", "annotate", "steplists", name+".json"))
	require.NoError(t, err)
	var list annotate.StepList
	require.NoError(t, json.Unmarshal(content, &list))
	return list
}

var people = []annotate.Person{
	{ID: "u-eleni", Name: "Ελένη Παπαδάκη", Grade: annotate.GradeSeniorTrainee},
	{ID: "u-anand", Name: "आनंद कुलकर्णी", Grade: annotate.GradeConsultant},
	{ID: "u-haruka", Name: "佐藤 遥", Grade: annotate.GradeJuniorTrainee},
	{ID: "u-samir", Name: "سمير الخطيب", Grade: annotate.GradeConsultant},
}

// marking makes markers in seconds of one part: step, start, end, operator.
type marking struct {
	part, step string
	start, end float64
	operator   string
}

func markers(list annotate.StepList, markings []marking) []annotate.Marker {
	var all []annotate.Marker
	for i, m := range markings {
		marker := annotate.Marker{
			ID: fmt.Sprintf("m-%02d", i+1), Seq: int64(i + 1), Step: m.step, StepList: annotate.StepListRef{ID: list.ID, Version: list.Version},
			Start: timeline.Instant{Part: m.part, Ms: int64(m.start * 1000)}, OperatorID: m.operator,
		}
		if m.end > 0 {
			marker.End = &timeline.Instant{Part: m.part, Ms: int64(m.end * 1000)}
		}
		all = append(all, marker)
	}
	return all
}

func at(part string, seconds float64) timeline.Instant {
	return timeline.Instant{Part: part, Ms: int64(seconds * 1000)}
}

func part(id string, position int, seconds float64) annotate.Part {
	return annotate.Part{
		ID: id, CaseID: "c-17", Position: position, Source: "theatre:" + id + ".mp4", State: annotate.PartOK, RealTime: true,
		Facts: annotate.MediaFacts{Container: "mp4", VideoCodec: "h264", Width: 1280, Height: 720, FrameRate: timeline.FrameRate{Num: 30000, Den: 1001}, Duration: int64(seconds * 1000), Fingerprint: "b1946ac9", Playable: true},
	}
}

// eventful is a part-case in two files with a capsule rupture, comments in several scripts and a follow-up.
func eventful(t testing.TB) annotate.CaseFile {
	phaco := stepList(t, "phaco")
	file := annotate.CaseFile{
		UnitName:  "Saltmere Harbour Eye Unit",
		People:    people,
		StepLists: []annotate.StepList{phaco},
		Parts:     []annotate.Part{part("p-1", 1, 420), part("p-2", 2, 480)},
		Case: annotate.Case{
			ID: "c-17", Pseudonym: "K-017", Eye: annotate.RightEye, Date: "2026-03-12", Change: 41,
			Before: annotate.EyeBefore{
				Age: ptr(74), Sex: "female", NuclearGrade: ptr(3), Pupil: "medium", AxialLength: ptr(23.4), ChamberDepth: ptr(2.7), Thickness: ptr(538), Acuity: "6/24",
				UncorrectedAcuity: "CF", Refraction: &annotate.Refraction{Sphere: ptr(-1.25), Cylinder: ptr(-0.75), Axis: ptr(90.0)}, Pressure: ptr(16.0),
				LOCS:        &annotate.LOCS{NuclearOpalescence: ptr(3.4), NuclearColour: ptr(3.1), Cortical: ptr(2.0), PosteriorSubcapsular: ptr(0.3)},
				Keratometry: &annotate.Keratometry{Flat: ptr(43.1), Steep: ptr(43.9), Axis: ptr(85.0)}, Guttata: annotate.Yes, Diabetes: annotate.No,
				FellowEye: &annotate.FellowEye{Operated: annotate.Yes, Acuity: "6/7.5", Exam: &annotate.EndothelialExam{Density: 2310, Instrument: "Specular A"}},
				Glaucoma:  annotate.No, DiabeticRetinopathy: annotate.No, BrunescentOrWhite: annotate.No, NoFundalView: annotate.No,
				Pseudoexfoliation: annotate.Yes, CannotLieFlat: annotate.No,
				Exam: &annotate.EndothelialExam{Density: 2540, Cells: ptr(112), CV: ptr(0.31), Hexagonality: ptr(58.0), Images: ptr(2), Instrument: "Specular A"},
			},
			Operation: annotate.Operation{
				TechniquePlanned: annotate.TechniquePhaco, TechniquePerformed: annotate.TechniquePhaco, Anaesthesia: "sub-tenon",
				IncisionSite: "temporal", IncisionSize: ptr(2.4), OVDs: []string{"dispersive", "cohesive"}, Dye: annotate.No, PupilDevice: "none",
				LensKind: "three-piece", LensPower: ptr(21.5), LensPosition: "sulcus", TargetRefraction: ptr(-0.5),
				TorsionalTime: ptr(52.0), TorsionalAmplitude: ptr(66.0), LongitudinalTime: ptr(2.0), LongitudinalPower: ptr(20.0),
				MachineFamily: "Torsional", CDE: ptr(14.2), FluidUsed: ptr(92.0),
				Settings: []annotate.StageSettings{{Stage: "nucleus", Vacuum: ptr(420.0), Flow: ptr(35.0), Power: ptr(70.0), Pressure: ptr(60.0)}, {Stage: "cortex", Vacuum: ptr(500.0)}},
				Note:     "Dense arcus; view good until cortex removal.",
			},
			Operators: []annotate.Operator{
				{UserID: "u-eleni", Role: annotate.OperatorLead, Grade: annotate.GradeSeniorTrainee},
				{UserID: "u-anand", Role: annotate.OperatorSupervisor, Grade: annotate.GradeConsultant},
			},
		},
		Complications: []annotate.Complication{
			{ID: "k-1", Kind: "posterior-capsule-rupture", At: ptr(at("p-2", 128.44)), Severity: 2, Action: "dispersive OVD, anterior vitrectomy, lens in the sulcus"},
			{ID: "k-2", Kind: "vitreous-loss", At: ptr(at("p-2", 136.9)), Severity: 1},
			{ID: "k-3", Kind: "corneal-oedema", OnDate: "2026-03-13", Severity: 1, ResolvedOn: "2026-03-20"},
		},
		Visits: []annotate.Visit{
			{ID: "v-1", Window: annotate.WindowDay1, Date: "2026-03-13", Acuity: "6/18", Pressure: ptr(24.0), OedemaGrade: ptr(2), Thickness: ptr(602)},
			{ID: "v-2", Window: annotate.WindowMonth1, Date: "2026-04-10", Acuity: "6/9", UncorrectedAcuity: "6/12", Refraction: &annotate.Refraction{Sphere: ptr(0.5), Cylinder: ptr(-1.0), Axis: ptr(100.0)}, Medication: "none", Pressure: ptr(15.0), OedemaGrade: ptr(0), Thickness: ptr(541), Exam: &annotate.EndothelialExam{Density: 1980, Cells: ptr(96), CV: ptr(0.36), Instrument: "Specular A"}, FellowExam: &annotate.EndothelialExam{Density: 2290, Cells: ptr(60), CV: ptr(0.33), Instrument: "Specular A"}},
		},
		Findings: []annotate.Finding{
			{ID: "f-1", CaseID: "c-17", Kind: annotate.FindingSeen, Place: 1, AuthorID: "u-eleni", Text: "The chamber shallowed at @2/2:06 and the capsule went at @9:08.44; the same aspiration rate at @1/3:00 did no harm."},
			{ID: "f-2", CaseID: "c-17", Kind: annotate.FindingSeen, Place: 2, AuthorID: "u-anand", NamesNobody: true, Text: "A chip touched the endothelium twice, see @5:33.1. Nothing is recorded at @59:00.\nقطعة صغيرة عند @5:33."},
			{ID: "f-3", CaseID: "c-17", Kind: annotate.FindingLearning, Place: 1, AuthorID: "u-anand", NamesNobody: true, Text: "Refill OVD before the instruments leave the eye."},
		},
		Reading: &annotate.ReadingState{
			Reading: annotate.Reading{ID: "r-1", CaseID: "c-17", AuthorID: "u-eleni", StepList: annotate.StepListRef{ID: "phaco", Version: 1}, Accepted: true, Seq: 57},
			Markers: markers(phaco, []marking{
				{"p-1", "side-port", 12.2, 23.6, ""}, {"p-1", "ovd", 25, 38.4, ""}, {"p-1", "main-incision", 41.1, 50.02, ""},
				{"p-1", "capsulorhexis", 58, 132.5, ""}, {"p-1", "hydrodissection", 140.3, 171.9, ""}, {"p-1", "sculpting", 185, 262.2, ""},
				{"p-1", "division", 263, 300.5, ""}, {"p-1", "removal", 301, 409.96, ""}, {"p-2", "removal", 4.2, 71, "u-anand"},
				{"p-2", "second-instrument", 4.2, 60, ""}, {"p-2", "cortex", 84, 140.2, ""}, {"p-2", "vitrectomy", 171, 262.7, "u-anand"},
				{"p-2", "ovd", 146.3, 158, "u-anand"}, {"p-2", "lens-insertion", 282, 321.8, "u-anand"}, {"p-2", "ovd-removal", 331, 378.6, "u-anand"}, {"p-2", "wound-closure", 386, 447.3, ""},
			}),
			Events: []annotate.Event{
				{ID: "e-1", Kind: "ovd-top-up", At: at("p-1", 280.5)}, {ID: "e-2", Kind: "fragment-contact", At: at("p-1", 333.1), Note: "small chip, nasal"},
				{ID: "e-3", Kind: "fragment-contact", At: at("p-2", 22)}, {ID: "e-4", Kind: "chamber-collapse", At: at("p-2", 126.0)},
			},
			Comments: []annotate.Comment{
				{ID: "t-1", Seq: 40, AuthorID: "u-anand", MadeAt: 1773400000000, At: at("p-2", 124.6), Text: "Watch the tip here: aperture towards the capsule while the chamber shallows. कृपया दोबारा देखें।"},
				{ID: "t-2", Seq: 41, AuthorID: "u-eleni", MadeAt: 1773403600000, At: at("p-2", 124.6), ReplyTo: "t-1", Text: "Συμφωνώ. Θα κρατώ το άνοιγμα προς τα πάνω."},
				{ID: "t-3", Seq: 42, AuthorID: "u-samir", MadeAt: 1773490000000, At: at("p-1", 301), End: ptr(at("p-1", 340)), Settled: true, Text: "قطعة صغيرة لامست البطانة عند 05:33؛ أعيدوا حقن OVD قبل المتابعة.", Shape: &annotate.Shape{Kind: "ring", Points: [][2]float64{{0.4, 0.5}, {0.5, 0.6}}}},
				{ID: "t-4", Seq: 43, AuthorID: "u-haruka", MadeAt: 1773500000000, At: at("p-1", 60), Text: "前嚢切開の直径は十分でした 👍"},
			},
			Acceptances: []annotate.Acceptance{{ID: "untagged-gap:m-09+m-11+p-2", Reason: "tip cleaned outside the eye", AuthorID: "u-eleni"}},
		},
		Group: map[string][]int64{},
	}
	for i := range int64(34) {
		file.Group[""] = append(file.Group[""], 520_000+i*17_000)
		file.Group["capsulorhexis"] = append(file.Group["capsulorhexis"], 40_000+i*2_150)
		file.Group["stage:nucleus"] = append(file.Group["stage:nucleus"], 130_000+i*6_100)
		file.Group["removal"] = append(file.Group["removal"], 70_000+i*4_000)
		file.Group["cortex"] = append(file.Group["cortex"], 60_000+i*1_500)
	}
	for i := range int64(7) {
		file.Group["vitrectomy"] = append(file.Group["vitrectomy"], 60_000+i*9_000)
	}
	return leveled(file, besideEventful())
}

// converted is phaco turned into manual small-incision surgery, in an edited film with a cut and a gap, half marked.
func converted(t testing.TB) annotate.CaseFile {
	phaco, msics := stepList(t, "phaco"), stepList(t, "msics")
	second := part("p-b", 2, 300)
	second.Offset, second.Cuts = ptr(int64(330_000)), []int64{60_000}
	third := part("p-c", 3, 60)
	third.RealTime, third.State = false, annotate.PartChanged
	marks := markers(phaco, []marking{{"p-a", "side-port", 5, 14, ""}, {"p-a", "main-incision", 20, 31, ""}, {"p-a", "hydrodissection", 36, 58, ""}, {"p-a", "capsulorhexis", 60, 140, ""}, {"p-a", "sculpting", 150, 296, ""}})
	marks = append(marks, markers(msics, []marking{{"p-b", "nucleus-prolapse", 20, 75, ""}, {"p-b", "nucleus-delivery", 80, 122, ""}, {"p-b", "cortex", 140, 0, ""}, {"p-c", "suturing", 10, 40, ""}})...)
	for i := range marks {
		marks[i].ID = fmt.Sprintf("n-%02d", i+1)
	}
	return leveled(annotate.CaseFile{
		UnitName: "Saltmere Harbour Eye Unit", People: people, StepLists: []annotate.StepList{phaco, msics},
		Parts: []annotate.Part{part("p-a", 1, 300), second, third},
		Case: annotate.Case{
			ID: "c-18", Pseudonym: "K-018", Eye: annotate.LeftEye, Date: "2026-04-02", Change: 7,
			Before:    annotate.EyeBefore{Exam: &annotate.EndothelialExam{Density: 2210, Instrument: "Specular A"}},
			Operation: annotate.Operation{TechniquePlanned: annotate.TechniquePhaco, TechniquePerformed: annotate.TechniqueMSICS, ConversionReason: "hard nucleus, rhexis run out"},
			Operators: []annotate.Operator{{UserID: "u-samir", Role: annotate.OperatorLead, Grade: annotate.GradeConsultant}},
		},
		Complications: []annotate.Complication{{ID: "k-9", Kind: "rhexis-tear"}},
		Visits: []annotate.Visit{
			{ID: "v-8", Window: annotate.WindowMonth3, Date: "2026-07-01", Exam: &annotate.EndothelialExam{Density: 2255, Instrument: "Specular A"}},
			{ID: "v-9", Window: annotate.WindowYear1, Date: "2027-04-01", Exam: &annotate.EndothelialExam{Density: 940, Instrument: "Confocal B"}},
		},
		Reading: &annotate.ReadingState{
			Reading: annotate.Reading{ID: "r-2", CaseID: "c-18", AuthorID: "u-samir", StepList: annotate.StepListRef{ID: "phaco", Version: 1}, Accepted: true, Seq: 12},
			Markers: marks,
			Events:  []annotate.Event{{ID: "e-9", Kind: "conversion", At: at("p-a", 298), StepList: &annotate.StepListRef{ID: "msics", Version: 1}}},
		},
	}, besideEventful())
}

// bare is a case of which almost nothing is known.
func bare(testing.TB) annotate.CaseFile {
	return leveled(annotate.CaseFile{
		UnitName: "Saltmere Harbour Eye Unit",
		Case:     annotate.Case{ID: "c-19", Pseudonym: "K-019", Eye: annotate.LeftEye, Date: "2026-05-04", Operation: annotate.Operation{TechniquePlanned: annotate.TechniquePhaco, TechniquePerformed: annotate.TechniquePhaco}},
	}, besideEventful())
}

// pictures of two moments of the eventful case; of the others none could be taken.
var pictures = map[report.StillAt][]byte{{PartID: "p-2", Ms: 126_000}: picture(40, 120, 130), {PartID: "p-1", Ms: 333_100}: picture(150, 90, 60)}

// picture draws a lens of one colour.
func picture(r, g, b uint8) []byte {
	drawn := image.NewRGBA(image.Rect(0, 0, 320, 180))
	for y := range 180 {
		for x := range 320 {
			if (x-160)*(x-160)+(y-90)*(y-90) < 80*80 {
				drawn.Set(x, y, color.RGBA{R: r, G: g, B: b, A: 255})
			}
		}
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, drawn, nil); err != nil {
		panic(err)
	}
	return out.Bytes()
}

// cast names the cases that have goldens.
var cast = []struct {
	name    string
	file    func(testing.TB) annotate.CaseFile
	edition report.Edition
}{
	{"eventful", eventful, report.Edition{Address: "https://zonule.example.org", Stills: pictures, Signature: &report.Signature{Number: 1, Name: "आनंद कुलकर्णी", At: 1776000000000, Addenda: []annotate.Addendum{
		{ID: "a-1", AuthorID: "u-samir", AuthorName: "سمير الخطيب", Text: "نوقشت الحالة في اجتماع المضاعفات؛ لا إجراء آخر. Discussed; no further action.", MadeAt: 1777000000000},
	}}}},
	{"converted", converted, report.Edition{}},
	{"bare", bare, report.Edition{}},
}
