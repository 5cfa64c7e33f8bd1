package timeline

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// Count is one endothelial count of the central cornea.
type Count struct {
	Density    float64  `json:"density"` // cells/mm2
	Cells      *int     `json:"cells"`   // counted, all images of the visit together
	CV         *float64 `json:"cv"`      // standard deviation over mean of cell area, as a fraction
	Images     *int     `json:"images"`
	Instrument string   `json:"instrument"`
	Method     string   `json:"method"`
}

// LossResult compares two counts of one eye. Losses are in percent of the first count; a gain is negative.
type LossResult struct {
	// LossPercent is nil when the counts cannot be compared; Notes says why.
	LossPercent *float64 `json:"lossPercent"`
	Low         *float64 `json:"low"`  // of the 95 % interval from counting error alone
	High        *float64 `json:"high"` // of the same
	// CountingErrorKnown is true when both counts have cells and coefficient of variation.
	CountingErrorKnown bool `json:"countingErrorKnown"`
	// BeyondCountingError is true when the interval leaves out 0; nil when the counting error is not known.
	BeyondCountingError *bool `json:"beyondCountingError"`
	// SmallestTold is the loss in percent under which these two counts cannot tell loss from counting error.
	SmallestTold *float64 `json:"smallestTold"`
	// ExpectedWithoutSurgery is the density in cells/mm2 that ageing alone would leave; only after more than half a year.
	ExpectedWithoutSurgery *float64 `json:"expectedWithoutSurgery"`
	// InstrumentMismatch is true when the two counts name different instruments or methods.
	InstrumentMismatch bool     `json:"instrumentMismatch"`
	Notes              []string `json:"notes"`
}

// AgeingPercentPerYear is the yearly loss of healthy eyes. Source: Bourne WM, Nelson LR, Hodge DO, IOVS 1997;38:779-82;
// found.
const AgeingPercentPerYear = 0.6

const (
	z95 = 1.96 // as the 95 % intervals of this field are computed; common practice
	// fewestCells is what a count should rest on. Source: Doughty MJ 2020 recommends 75 to 100; found.
	fewestCells = 75
	// ageingShownFrom is in years. Source: our definition.
	ageingShownFrom = 0.5
)

// ErrCV is returned for a coefficient of variation that is neither a fraction nor a percentage.
var ErrCV = errors.New("the coefficient of variation must be a fraction above 0 and up to 1, such as 0.30, or a percentage from 5 to 100, such as 30")

// NormaliseCV turns a coefficient of variation given as 0.30 or as 30 into the fraction 0.30. Values from 1 to 5 could
// be either and are refused. Source: both forms are common practice.
func NormaliseCV(value float64) (float64, error) {
	switch {
	case value > 0 && value <= 1:
		return value, nil
	case value >= 5 && value <= 100:
		return value / 100, nil
	}
	return 0, ErrCV
}

// Loss compares a count after surgery with the one before, yearsBetween later. Counts from different instruments or
// methods are not compared: their systematic differences are of the size of the loss looked for.
//
// Loss % = 100 (pre - post)/pre; common practice. On the log scale se = sqrt(CV0^2/n0 + CV1^2/n1), and the 95 % interval
// is 100 (1 - (post/pre) exp(+-1.96 se)). Source: standard result of sampling, from memory.
func Loss(pre, post Count, yearsBetween float64) LossResult {
	result := LossResult{InstrumentMismatch: differ(pre.Instrument, post.Instrument) || differ(pre.Method, post.Method), Notes: []string{}}
	if result.InstrumentMismatch {
		result.note("The two counts come from different instruments or methods and are not compared; published systematic differences are 184 to 228 cells/mm2.")
		return result
	}
	return result.compare(pre, post, yearsBetween)
}

// LossAcrossInstruments is Loss for a user who wants counts from different instruments or methods compared all the
// same; the result says so.
func LossAcrossInstruments(pre, post Count, yearsBetween float64) LossResult {
	result := LossResult{InstrumentMismatch: differ(pre.Instrument, post.Instrument) || differ(pre.Method, post.Method), Notes: []string{}}
	if result.InstrumentMismatch {
		result.note("The two counts come from different instruments or methods and are compared on request; published systematic differences are 184 to 228 cells/mm2, which no interval here includes.")
	}
	return result.compare(pre, post, yearsBetween)
}

func (r LossResult) compare(pre, post Count, years float64) LossResult {
	if !positive(pre.Density) || !positive(post.Density) {
		r.note("A loss needs a density above 0 before and after.")
		return r
	}
	r.LossPercent = pointTo(LossPercent(pre.Density, post.Density))
	if years > ageingShownFrom {
		r.ExpectedWithoutSurgery = pointTo(DensityAfter(pre.Density, AgeingPercentPerYear, years))
	}
	if pre.Instrument == "" || post.Instrument == "" {
		r.note("The instrument of a count is not recorded, so that the two may not be comparable.")
	}
	before, errBefore := RelativeError(pre)
	after, errAfter := RelativeError(post)
	if errBefore != nil || errAfter != nil {
		r.note("The counting error is not known: cells counted or coefficient of variation is missing.")
		return r
	}
	se := math.Hypot(before, after)
	ratio := post.Density / pre.Density
	low, high := 100*(1-ratio*math.Exp(z95*se)), 100*(1-ratio*math.Exp(-z95*se))
	beyond := low > 0 || high < 0
	r.CountingErrorKnown, r.Low, r.High, r.BeyondCountingError = true, &low, &high, &beyond
	r.SmallestTold = pointTo(100 * (1 - math.Exp(-z95*se)))
	r.note("With these counts a loss under %.1f %% cannot be told from counting error.", *r.SmallestTold)
	if *pre.Cells < fewestCells || *post.Cells < fewestCells {
		r.note("A count rests on fewer than %d cells.", fewestCells)
	}
	return r
}

func (r *LossResult) note(format string, args ...any) {
	r.Notes = append(r.Notes, fmt.Sprintf(format, args...))
}

// differ reports whether both names are given and are not the same but for case and spaces.
func differ(a, b string) bool {
	a, b = strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " ")
	return a != "" && b != "" && !strings.EqualFold(a, b)
}

func positive(value float64) bool { return value > 0 && !math.IsInf(value, 1) }

// LossPercent is 100 (pre - post)/pre; negative for a gain. Source: common practice.
func LossPercent(pre, post float64) float64 { return 100 * (pre - post) / pre }

// YearlyLossPercent is the constant yearly rate, in percent, that leads from pre to post: 100 ln(pre/post)/years.
// Source: arithmetic; exponential decline found in Bourne 1997.
func YearlyLossPercent(pre, post, years float64) float64 { return 100 * math.Log(pre/post) / years }

// DensityAfter is what a constant yearly loss leaves: density exp(-rate years). Source: as YearlyLossPercent.
func DensityAfter(density, percentPerYear, years float64) float64 {
	return density * math.Exp(-percentPerYear/100*years)
}

// MeanArea is the mean cell area in um2 of a density in cells/mm2, and the same formula turns an area into a density:
// 1e6 / value. Source: found (donor specular sample-area study, ARVO).
func MeanArea(density float64) float64 { return 1e6 / density }

// DensityFromArea is the density in cells/mm2 of a mean cell area in um2. Source: as MeanArea.
func DensityFromArea(area float64) float64 { return 1e6 / area }

// ErrCountingError is returned when cells counted or coefficient of variation is missing.
var ErrCountingError = errors.New("the counting error needs the cells counted and the coefficient of variation")

// RelativeError is the relative standard error of a count as a fraction: CV / sqrt(cells). Source: standard result of
// sampling, from memory.
func RelativeError(count Count) (float64, error) {
	if count.Cells == nil || *count.Cells <= 0 || count.CV == nil {
		return 0, ErrCountingError
	}
	cv, err := NormaliseCV(*count.CV)
	if err != nil {
		return 0, err
	}
	return cv / math.Sqrt(float64(*count.Cells)), nil
}

// DensityInterval is the 95 % interval of a count's density from counting error alone, in cells/mm2: on the log scale, as
// that of a loss, density exp(+-1.96 CV/sqrt(cells)). Source: as RelativeError.
func DensityInterval(count Count) (low, high float64, err error) {
	se, err := RelativeError(count)
	if err != nil {
		return 0, 0, err
	}
	return count.Density * math.Exp(-z95*se), count.Density * math.Exp(z95*se), nil
}

// CellsNeeded is the number of cells for a 95 % half-width of the given fraction: (1.96 CV / halfWidth)^2, rounded up.
// Source: as RelativeError.
func CellsNeeded(cv, halfWidth float64) int {
	return int(math.Ceil(math.Pow(z95*cv/halfWidth, 2)))
}

// ThicknessChange is the change of corneal thickness in percent of the first; false without a first.
// Source: common practice.
func ThicknessChange(pre, post int) (float64, bool) {
	if pre <= 0 || post <= 0 {
		return 0, false
	}
	return 100 * float64(post-pre) / float64(pre), true
}

// OedemaGrades words the grades of corneal oedema 0 to 4. Source: common practice, own words.
var OedemaGrades = []string{
	"clear", "trace, few folds", "mild, iris details clear", "moderate, iris details hazy", "severe, or blisters of the epithelium",
}
