package stat

import (
	"context"
	"math"

	"gonum.org/v1/gonum/mat"
)

// LogisticOptions chooses the fit.
type LogisticOptions struct {
	Level float64
	// Penalised takes Firth's penalty: finite estimates when events are rare or groups separate.
	Penalised bool
	// Clusters names the cluster (the operator) of each observation, for standard errors that respect it; nil: none.
	Clusters []string
	// Profiled are the positions of the coefficients whose profile interval is wanted, which is most of the work; nil: all.
	Profiled []int
	// Progress is told after the fit and after each profile how much is done; nil: nobody is.
	Progress func(done, of int)
}

// LogisticModel is a fitted logistic regression on the log-odds scale. The interval of a coefficient is the Wald one;
// Profile holds those that suit rare events.
type LogisticModel struct {
	Coefficients []Coefficient `json:"coefficients"`
	// Profile[j] belongs to Coefficients[j]; it has neither bounds nor P where it was not wanted.
	Profile            []ProfileInterval `json:"profile"`
	N                  int               `json:"n"`
	Events             int               `json:"events"`
	EventsPerParameter float64           `json:"eventsPerParameter"`
	LogLik             float64           `json:"logLik"`
	PenalisedLogLik    *float64          `json:"penalisedLogLik"`
	Deviance           float64           `json:"deviance"`
	NullDeviance       float64           `json:"nullDeviance"`
	AIC                float64           `json:"aic"`
	Notes              []string          `json:"notes,omitempty"`

	level      float64
	estimates  []float64
	covariance *mat.SymDense
	residual   []float64 // y - chance, with the penalty its modified form
}

// ProfileInterval is a profile-likelihood interval; a bound is nil where the likelihood never falls far enough. P tests
// the coefficient against 0 in the same way.
type ProfileInterval struct {
	Lower *float64 `json:"lower"`
	Upper *float64 `json:"upper"`
	P     *float64 `json:"p"`
	Z     *float64 `json:"z"` // root of the statistic behind P, which says more where P is too small to be written
	Level float64  `json:"level"`
	Notes []string `json:"notes,omitempty"`
}

// Logistic fits the log odds of y = 1 (y holds 0 and 1) on the design. Without the penalty, separated data are refused.
// Source: Firth D, Biometrika 1993;80:27-38; Heinze G, Schemper M, Stat Med 2002;21:2409-19, from memory; checked against R
// glm, MASS and brglm2 0.9, and sandwich 3.0-2 for clusters.
func Logistic(d *Design, y []float64, options LogisticOptions) (*LogisticModel, error) {
	return LogisticContext(context.Background(), d, y, options)
}

// LogisticContext is Logistic that can be cancelled: it then returns the context's error.
func LogisticContext(ctx context.Context, d *Design, y []float64, options LogisticOptions) (*LogisticModel, error) {
	if err := checkRegression(d, y, options.Level); err != nil {
		return nil, err
	}
	events := 0
	for i, v := range y {
		if v != 0 && v != 1 {
			return nil, degenerate(Invalid, "The outcome must be 0 or 1 (position %d).", i+1)
		}
		events += int(v)
	}
	n, p := d.rows, len(d.columns)
	if n <= p {
		return nil, degenerate(TooFew, "%d observations cannot carry %d terms.", n, p)
	}
	if events == 0 || events == n {
		return nil, degenerate(Constant, "All cases went the same way: there is nothing to explain.")
	}
	if options.Clusters != nil && len(options.Clusters) != n {
		return nil, degenerate(Invalid, "There are %d clusters for %d observations.", len(options.Clusters), n)
	}
	if _, err := orthogonalise(d, nil); err != nil {
		return nil, err
	}
	l := newLogisticData(ctx, d, y, options.Penalised)
	top, err := l.fit()
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	residual, ok := l.residualAt(top)
	if !ok {
		return nil, ctx.Err()
	}
	m := &LogisticModel{N: n, Events: events, LogLik: top.logLik, Deviance: -2 * top.logLik}
	m.EventsPerParameter = float64(min(events, n-events)) / float64(p)
	m.AIC = m.Deviance + 2*float64(p)
	m.NullDeviance = nullDeviance(d, n, events)
	if options.Penalised {
		m.PenalisedLogLik = &top.objective
	}
	switch {
	case m.EventsPerParameter <= 1:
		m.Notes = append(m.Notes, "There is at most one event per parameter: the likelihood can have several peaks, and intervals may belong to one of them.")
	case m.EventsPerParameter < 5:
		m.Notes = append(m.Notes, "There are under five events per parameter: the estimates are fragile.")
	}
	m.residual = residual
	m.coefficients(d, l, top, options)
	if err := m.profiles(ctx, l, top, options); err != nil {
		return nil, err
	}
	return m, nil
}

// profiles fills the profile intervals that are wanted.
func (m *LogisticModel) profiles(ctx context.Context, l *logisticData, top *logisticState, options LogisticOptions) error {
	p := len(l.columns)
	m.Profile = make([]ProfileInterval, p)
	wanted := options.Profiled
	if wanted == nil {
		for j := range p {
			wanted = append(wanted, j)
		}
	}
	tell := options.Progress
	if tell == nil {
		tell = func(int, int) {}
	}
	tell(1, 1+len(wanted))
	for j := range m.Profile {
		m.Profile[j].Level = options.Level
	}
	for k, j := range wanted {
		if j < 0 || j >= p {
			return degenerate(Invalid, "There is no coefficient %d.", j)
		}
		m.Profile[j] = l.profile(top, j, options.Level)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		tell(2+k, 1+len(wanted))
	}
	return nil
}

// fit finds the maximum. In separated data the likelihood climbs for ever while a coefficient runs away, about one unit
// per step; it then never settles.
func (l *logisticData) fit() (*logisticState, error) {
	start, ok := l.at(make([]float64, len(l.columns)))
	if !ok {
		return nil, degenerate(RankDeficient, "A term is a combination of the others.")
	}
	most := 500
	if !l.penalised {
		most = 30
	}
	if top, settled := l.maximise(start, -1, 1e-22, most); settled {
		return top, nil
	}
	if l.penalised {
		return nil, degenerate(NoConvergence, "The fit did not settle.")
	}
	return nil, degenerate(Separated, "The terms predict the outcome perfectly for some cases: no finite estimate exists without a penalty.")
}

// nullDeviance is the deviance of the model without terms beyond the intercept, if there is one.
func nullDeviance(d *Design, n, events int) float64 {
	chance := 0.5
	if d.intercept {
		chance = float64(events) / float64(n)
	}
	return -2 * (float64(events)*math.Log(chance) + float64(n-events)*math.Log1p(-chance))
}

func (m *LogisticModel) coefficients(d *Design, l *logisticData, top *logisticState, options LogisticOptions) {
	z := twoSidedZ(options.Level)
	robust := l.clustered(top, m.residual, options.Clusters)
	p := len(d.Terms)
	m.level, m.covariance = options.Level, mat.NewSymDense(p, nil)
	for j := range p {
		for k := range j + 1 {
			m.covariance.SetSym(j, k, top.inverse.At(j, k)/(l.scale[j]*l.scale[k]))
		}
	}
	for j, term := range d.Terms {
		b := top.beta[j] / l.scale[j]
		se := math.Sqrt(top.inverse.At(j, j)) / l.scale[j]
		c := Coefficient{
			Term: term, Estimate: b, SE: se, Statistic: b / se, P: normalTwoSided(b / se),
			Interval: *about(b, z*se, options.Level),
		}
		if robust != nil {
			c.RobustSE, c.RobustInterval = &robust[j], about(b, z*robust[j], options.Level)
		}
		if robust != nil && robust[j] > 0 {
			c.RobustP = pointTo(normalTwoSided(b / robust[j]))
		}
		m.Coefficients, m.estimates = append(m.Coefficients, c), append(m.estimates, b)
	}
}

// Predict gives the chance (0 to 1) for a row of terms in the order of the design, with its interval (Wald, on the log odds).
func (m *LogisticModel) Predict(row []float64) (Estimate, error) {
	if len(row) != len(m.estimates) {
		return Estimate{}, degenerate(Invalid, "A prediction needs %d terms.", len(m.estimates))
	}
	v := mat.NewVecDense(len(row), row)
	eta := mat.Dot(v, mat.NewVecDense(len(row), m.estimates))
	half := twoSidedZ(m.level) * math.Sqrt(mat.Inner(v, m.covariance, v))
	chance := func(eta float64) float64 { return 1 / (1 + math.Exp(-eta)) }
	return Estimate{Value: chance(eta), N: m.N, Interval: &Interval{Lower: chance(eta - half), Upper: chance(eta + half), Level: m.level}}, nil
}

// clustered gives sandwich standard errors with the scores summed within clusters, without a small-sample factor. Source:
// Liang KY, Zeger SL, Biometrika 1986;73:13-22, from memory.
func (l *logisticData) clustered(top *logisticState, residual []float64, clusters []string) []float64 {
	if clusters == nil {
		return nil
	}
	p := len(l.columns)
	place := map[string]int{}
	var scores [][]float64 // in order of first appearance, so that sums run in a fixed order
	for i, name := range clusters {
		at, known := place[name]
		if !known {
			at = len(scores)
			place[name] = at
			scores = append(scores, make([]float64, p))
		}
		for j, c := range l.columns {
			scores[at][j] += residual[i] * c[i]
		}
	}
	meat := mat.NewSymDense(p, nil)
	for _, s := range scores {
		meat.SymRankOne(meat, 1, mat.NewVecDense(p, s))
	}
	var half, full mat.Dense
	half.Mul(top.inverse, meat)
	full.Mul(&half, top.inverse)
	se := make([]float64, p)
	for j := range se {
		se[j] = math.Sqrt(max(0, full.At(j, j))) / l.scale[j]
	}
	return se
}
