package demo

import (
	"context"
	"encoding/json"

	"rillmark/domain"
	"rillmark/domain/method"
	"rillmark/service/agreeing"
)

// theMethod is the company's one method.
var theMethod = domain.MethodID(idOf[domain.MethodKind](methodRow, 0))

func (l *load) method(ctx context.Context) error {
	_, err := l.Agreeing.AddMethod(ctx, as(bram), agreeing.AddMethod{Operation: operation(methodWrite, 0), ID: theMethod,
		Number: "VP-01", Title: "Verification of liquid flow meters in place with a clamp-on reference"})
	return err
}

// editions are the method's, from so many days from the founding on; each ends the one
// before.
var editions = []struct {
	from    int
	content func() method.Content
}{
	{-1100, earlier},
	{-340, current},
}

func editionID(i int) domain.MethodEditionID { return idOf[domain.MethodEditionKind](editionRow, i) }

// coolant is what the chillers of one client run on: the company's own table, invented like
// the client.
var coolant = method.FluidTable{Name: "coolant, glycol 34 %", StandardUncertainty: 0.003,
	Basis: "supplier's data of 2023 and sound speed by the laboratory of the plant, report L-0417",
	Rows: []method.FluidTableRow{
		{Celsius: -10, Density: 1054.6, DynamicViscosity: 7.42e-3, SoundSpeed: 1611},
		{Celsius: 0, Density: 1051.9, DynamicViscosity: 4.78e-3, SoundSpeed: 1613},
		{Celsius: 10, Density: 1048.5, DynamicViscosity: 3.28e-3, SoundSpeed: 1611},
		{Celsius: 20, Density: 1044.5, DynamicViscosity: 2.39e-3, SoundSpeed: 1606},
		{Celsius: 30, Density: 1039.9, DynamicViscosity: 1.82e-3, SoundSpeed: 1598},
	}}

// current is the ready content with the company's own fluid.
func current() method.Content {
	c := method.Ready()
	c.Fluids = append(c.Fluids, coolant)
	return c
}

// earlier is the ready content as it might have been before: a wider tolerance of the
// set-up check, and more for the velocity profile.
func earlier() method.Content {
	c := method.Ready()
	c.SetupCheck.CompanyTolerance = 0.01
	for i, row := range c.Budget {
		if row.Name == "velocity profile" {
			c.Budget[i].Value = 0.012
		}
	}
	return c
}

func (l *load) edition(ctx context.Context, i int) error {
	content, err := json.Marshal(editions[i].content())
	if err != nil {
		return err
	}
	_, err = l.Agreeing.AddEdition(ctx, as(bram), agreeing.AddEdition{Operation: operation(editionWrite, i), ID: editionID(i), MethodID: theMethod,
		EditionTexts: method.EditionTexts{Content: string(content), InForce: l.day(editions[i].from)}})
	return err
}

// authorisations say who may do what by the method, since when and on what ground.
var authorisations = []struct {
	person int
	act    method.Act
	from   int
	ground string
}{
	{mirela, method.Perform, -1090, "trained on twelve points under supervision; written test 2 of 2"},
	{ines, method.Perform, -410, "trained on eight points under supervision; comparison with Mirela Tidewell within 0.4 %"},
	{bram, method.Review, -1095, "author of the method"},
	{bram, method.Authorise, -1095, "appointed by the management"},
}

func (l *load) authorisations(ctx context.Context) error {
	for i, z := range authorisations {
		_, err := l.Agreeing.AddAuthorisation(ctx, as(orla), agreeing.AddAuthorisation{Operation: operation(authorisationWrite, i),
			ID: idOf[domain.AuthorisationKind](authorisationRow, i), MethodID: theMethod, PersonID: idOf[domain.PersonKind](personRow, z.person),
			AuthorisationTexts: method.AuthorisationTexts{Act: string(z.act), From: l.day(z.from), Ground: z.ground}})
		if err != nil {
			return err
		}
	}
	return nil
}
