package cohort

import (
	"fmt"
	"math"
	"slices"

	"zonule/timeline"
)

const (
	// fewestLearning is the number of cases from which a curve is fitted. Source: our definition.
	fewestLearning = 10
	// mostCurve is the number of case numbers at which a curve is given.
	mostCurve = 60
)

// Learn fits how one person's time at one item changes with the number of operations in which that person did it. Cases
// that the person supervised do not count; a part-case counts for what the person operated in it.
func Learn(c *Cohort, q LearningQuestion) Learning {
	answer := Learning{
		Question: q, Points: []LearningPoint{}, Curve: []CurvePoint{}, Smooth: []SmoothPoint{}, Words: []string{}, Notes: []string{},
		Methods: learningMethods,
	}
	ch := c.choose(q.Question)
	v := c.newView()
	v.fill(c.columns[columnKey{q.Item.Kind, q.Item.Code}], ch)
	operator := c.operatorAt(q.Lane.Operator)
	answer.LeftOut = c.lostBy(operator, columnKey{q.Item.Kind, q.Item.Code}, ch)
	c.fillOthers(&answer, v, operator)
	own := v.of([]int32{operator})[0]
	numbers := c.numbersOf(operator, q.Technique, q.Item)
	s := practice{item: q.Item}
	hint := 0
	for _, e := range own {
		p := LearningPoint{Point: c.pointOf(q.Item, e, &hint), Number: numbers[e.at]}
		answer.Points = append(answer.Points, p)
		s.add(p, e.log)
	}
	answer.N = len(answer.Points)
	if answer.N < fewestLearning {
		answer.Why = fmt.Sprintf("%s with a time: a curve needs %d.", plural(answer.N, "case"), fewestLearning)
		return answer
	}
	if q.Grade {
		answer.LeftOut = append(answer.LeftOut, s.takeGraded()...)
		if len(s.number) < fewestLearning {
			answer.Why = fmt.Sprintf("The nuclear grade is known in %s with a time: an adjusted curve needs %d.", plural(len(s.number), "case"), fewestLearning)
			return answer
		}
	}
	if err := s.fill(&answer); err != nil {
		answer.Why = err.Error()
	}
	return answer
}

// fillOthers sets the level of everybody else, if they stay unnamed.
func (c *Cohort) fillOthers(answer *Learning, v *rowView, operator int32) {
	others := make([]int64, 0, len(v.entries))
	for _, e := range v.entries {
		if e.operator != operator {
			others = append(others, e.total)
		}
	}
	slices.Sort(others)
	operators := len(v.present)
	if operator != nobody && v.size[operator] > 0 {
		operators--
	}
	if answer.WhyNoGroup = tooFew(operators, operators, len(others)); answer.WhyNoGroup == "" {
		answer.Others = groupOf(others, operators)
	}
}

// numbersOf counts, over all days, the operations of a technique in which a person did the item: those of their own whose
// markers tell so, and those led whose markers tell nothing of who operated. Cases without a time count too.
func (c *Cohort) numbersOf(operator int32, technique string, item Item) map[int32]int {
	numbers := map[int32]int{}
	if operator == nobody {
		return numbers
	}
	id, next, hint := c.operators[operator], 0, 0
	for at := range c.rows {
		row := c.rows[at]
		if (technique == "" || row.Technique == technique) && operated(row, id, item, &hint) {
			next++
			numbers[int32(at)] = next
		}
	}
	return numbers
}

// operated tells whether a person did an item of a case, as far as is known.
func operated(row *Row, id string, item Item, hint *int) bool {
	if part := partOf(row, item, hint); part != nil && len(part.ByOperator) > 0 {
		return slices.ContainsFunc(part.ByOperator, func(s Share) bool { return s.Episodes > 0 && orLead(row, s.Operator) == id })
	}
	all := peopleOf(row)
	return len(all) == 1 && all[0] == id
}

// lostBy counts the chosen cases that a person led whose item gives no time.
func (c *Cohort) lostBy(operator int32, key columnKey, ch choice) []LeftOut {
	col := c.columns[key]
	if operator == nobody || col == nil {
		return []LeftOut{}
	}
	own := column{}
	for _, l := range col.lost {
		if c.rows[l.at].Operator == c.operators[operator] {
			own.lost = append(own.lost, l)
		}
	}
	return own.lostOf(ch)
}

// practice is what a curve is fitted to, by date.
type practice struct {
	item   Item
	number []float64
	logN   []float64
	total  []float64 // ms
	log    []float64
	grade  []float64 // not a number when unknown
	graded bool
	// centre is the grade at which an adjusted curve is drawn.
	centre float64
}

func (s *practice) add(p LearningPoint, log float64) {
	s.number, s.logN = append(s.number, float64(p.Number)), append(s.logN, math.Log(float64(p.Number)))
	s.total, s.log = append(s.total, float64(p.Total)), append(s.log, log)
	s.grade = append(s.grade, number(p.Grade))
}

// takeGraded keeps the cases whose grade is known.
func (s *practice) takeGraded() []LeftOut {
	all := *s
	*s = practice{item: all.item, graded: true}
	for i, grade := range all.grade {
		if math.IsNaN(grade) {
			continue
		}
		s.number, s.logN = append(s.number, all.number[i]), append(s.logN, all.logN[i])
		s.total, s.log, s.grade = append(s.total, all.total[i]), append(s.log, all.log[i]), append(s.grade, grade)
	}
	if len(s.grade) > 0 {
		s.centre = math.Round(timeline.Quantile(slices.Sorted(slices.Values(s.grade)), 0.5))
	}
	return counted([]LeftOut{{"the nuclear grade is not known", len(all.grade) - len(s.grade)}})
}

// fill fits everything that the cases carry.
func (s *practice) fill(answer *Learning) error {
	m, err := s.rate(answer)
	if err != nil {
		return err
	}
	at := spaced(s.number)
	for _, n := range at {
		row := []float64{1, math.Log(float64(n))}
		if s.graded {
			row = append(row, 0)
		}
		p, err := m.Predict(row, 1)
		if err != nil {
			return err
		}
		answer.Curve = append(answer.Curve, CurvePoint{
			Number: n, Value: math.Exp(p.Value), Low: math.Exp(p.Mean.Lower), High: math.Exp(p.Mean.Upper),
			CaseLow: math.Exp(p.New.Lower), CaseHigh: math.Exp(p.New.Upper),
		})
	}
	answer.Smooth = s.smooth()
	if !s.graded {
		s.floor(answer, m, at)
		s.bend(answer, at)
	}
	s.tell(answer)
	return nil
}
