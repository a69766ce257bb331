package issuing_test

import (
	"testing"

	"rillmark/domain"
	"rillmark/domain/access"
	"rillmark/service/issuing"
	"rillmark/service/store/storetest"
)

// A verification is on the course of its point once it is approved, names its certificate
// once that is issued, and leaves it when that is withdrawn.
func TestCourseOfAPoint(t *testing.T) {
	o := open(t)
	course := func() []issuing.Verified {
		t.Helper()
		visits, courses, err := o.Course(o.ctx, o.approver, o.Point)
		if err != nil {
			t.Fatal(err)
		}
		if (len(visits) > 0) != (len(courses) > 0) {
			t.Errorf("%d visits, %d courses", len(visits), len(courses))
		}
		for _, c := range courses {
			if len(c.Visits) != 1 || c.Trend != nil || c.Visits[0].Found.Expanded <= 0 {
				t.Errorf("%+v", c)
			}
		}
		return visits
	}
	if got := course(); len(got) != 0 {
		t.Errorf("not approved: %+v", got)
	}
	o.approve()
	got := course()
	if len(got) != 1 || got[0].EvaluationID != o.evaluation || got[0].Certificate() != "" || got[0].Serial == "" || len(got[0].References) == 0 {
		t.Fatalf("approved: %+v", got)
	}
	c := o.prepare(o.preparation())
	number := o.issue(c).Number
	if got = course(); len(got) != 1 || got[0].Certificate() != number || *got[0].CertificateID != c.ID {
		t.Errorf("issued as %s: %+v", number, got)
	}
	if _, err := o.Withdraw(o.ctx, o.approver, issuing.Withdraw{Operation: storetest.Operation(), ID: c.ID, Reason: "The reference was found bad."}); err != nil {
		t.Fatal(err)
	}
	if got = course(); len(got) != 0 {
		t.Errorf("withdrawn: %+v", got)
	}
	stranger := access.Actor{Person: id[domain.PersonKind](), Roles: nil}
	if _, _, err := o.Course(o.ctx, stranger, o.Point); err == nil {
		t.Error("a person without a role sees what is not theirs to see")
	}
}
