package annotate

import (
	"fmt"
	"strings"
)

// IntakeField is something that a column may hold.
type IntakeField struct {
	Code string `json:"code"`
	// Required: every row needs it.
	Required bool `json:"required"`
	names    string
}

// intakeImages is how many images of one exam a row can hold, each in columns of its own. A table of follow-up has one
// row for a visit, so that the images stand side by side under numbered headers; more than five are rare (common practice).
const intakeImages = 5

// IntakeFields lists what a column may hold, with the headers by which it is known: common words of clinics in English,
// German, French and Spanish, written as spoken does.
var IntakeFields = append([]IntakeField{
	{"pseudonym", true, "pseudonym|case|caseid|casenumber|casecode|studyid|code|fall|fallnummer|cas|caso"},
	{"eye", true, "eye|side|laterality|operatedeye|auge|seite|oeil|cote|ojo|lado"},
	{"operated", false, "operationdate|dateofoperation|surgerydate|dateofsurgery|opdate|opdatum|operationsdatum|dateoperation|fechacirugia"},
	{"date", true, "date|visitdate|dateofvisit|examdate|examinationdate|followupdate|datum|untersuchungsdatum|besuchsdatum|datevisite|fecha|fechavisita"},
	{"window", false, "window|visit|timepoint|followup|visitwindow|zeitpunkt|besuch|visite|visita"},
	{"acuity", false, "acuity|correctedacuity|visualacuity|va|bcva|cdva|visus|visuscc|acuite|avcc|agudezavisual"},
	{"uncorrectedAcuity", false, "uncorrectedacuity|uncorrectedvisualacuity|ucva|udva|visussc|acuitesanscorrection|avsc|agudezasincorreccion"},
	{"refraction.sphere", false, "sphere|sph|sphd|sphered|sphare|esfera"},
	{"refraction.cylinder", false, "cylinder|cyl|cyld|cylinderd|zylinder|zyl|cylindre|cilindro"},
	{"refraction.axis", false, "axis|ax|axisdegrees|achse|axe|eje"},
	{"pressure", false, "pressure|iop|iopmmhg|pressuremmhg|intraocularpressure|tension|iod|augendruck|tensio|pio|pression|presion"},
	{"oedemaGrade", false, "oedemagrade|oedema|edema|edemagrade|cornealoedema|cornealedema|oedem|hornhautodem|oedeme|edemacorneal"},
	{"thickness", false, "thickness|cct|cctum|centralcornealthickness|cornealthickness|pachymetry|pachymetryum|hornhautdicke|pachymetrie|paquimetria"},
	{"exam.density", false, "density|celldensity|endothelialcelldensity|ecd|cd|ecdcellsmm2|densitycellsmm2|endothelzelldichte|zelldichte|densite|densidad"},
	{"exam.cells", false, "cells|cellscounted|countedcells|numberofcells|cellcount|num|gezahltezellen|cellules|celulas"},
	{"exam.cv", false, "cv|coefficientofvariation|cvpercent|variationskoeffizient"},
	{"exam.hexagonality", false, "hexagonality|hex|hexagonal|6a|hexpercent|hexagonalitat|hexagonalite|hexagonalidad"},
	{"exam.images", false, "images|imagescounted|numberofimages|bilder|imagenes"},
	{"exam.instrument", false, "instrument|microscope|specularmicroscope|device|gerat|appareil|aparato"},
	{"exam.method", false, "method|countingmethod|methode|metodo"},
	{"exam.date", false, "countdate|dateofcount|speculardate|zahldatum"},
	{"medication", false, "medication|medications|drops|treatment|medikation|tropfen|therapie|traitement|medicacion|tratamiento"},
	{"note", false, "note|notes|remark|remarks|comment|bemerkung|remarque|nota"},
}, imageFields()...)

// imageFields are the columns of the single images of one exam: "ECD 1", "cells 1", "CV 1", "ECD 2" and so on.
func imageFields() []IntakeField {
	var fields []IntakeField
	for i := range intakeImages {
		for _, quantity := range []struct{ code, words string }{
			{"density", "density|celldensity|ecd|cd|zelldichte|densite|densidad"},
			{"cells", "cells|cellcount|num|zellen|cellules|celulas"},
			{"cv", "cv"},
		} {
			var names []string
			for word := range strings.SplitSeq(quantity.words, "|") {
				names = append(names, fmt.Sprintf("%s%d|image%d%s|bild%d%s", word, i+1, i+1, word, i+1, word))
			}
			fields = append(fields, IntakeField{Code: imageField(i, quantity.code), names: strings.Join(names, "|")})
		}
	}
	return fields
}

// imageField is the code of a quantity of an image, counted from 0; it is also its path in the record.
func imageField(image int, quantity string) string {
	return fmt.Sprintf("exam.imageCounts[%d].%s", image, quantity)
}

// spoken brings a header or a word to its letters and digits, in lower case and without accents that clinics leave out.
func spoken(text string) string {
	plain := strings.NewReplacer("ä", "a", "ö", "o", "ü", "u", "é", "e", "è", "e", "ê", "e", "ô", "o", "í", "i", "ó", "o", "á", "a", "ú", "u", "œ", "oe", "²", "2", "µ", "u", "μ", "u", "%", "percent")
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, plain.Replace(strings.ToLower(text)))
}

// matchColumns names the fields of columns by their headers. The first column of a field takes it.
func matchColumns(columns []string, kind string) IntakeMatching {
	matching := IntakeMatching{Fields: make([]string, len(columns))}
	if kind == "xlsx" {
		matching.Decimals = "point" // as numbers are stored, however the sheet shows them
	}
	taken := map[string]bool{}
	for i, column := range columns {
		name := spoken(column)
		for _, field := range IntakeFields {
			if name != "" && !taken[field.Code] && strings.Contains("|"+field.names+"|", "|"+name+"|") {
				matching.Fields[i] = field.Code
				taken[field.Code] = true
				break
			}
		}
	}
	return matching
}
