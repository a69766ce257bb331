package method_test

import (
	"testing"

	"rillmark/domain/method"
)

func TestReadyIsValid(t *testing.T) {
	c := method.Ready()
	if err := c.Validate(); err != nil {
		t.Error(err)
	}
}
