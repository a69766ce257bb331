package agreeing_test

import (
	"testing"

	"rillmark/service/store/storetest"
)

func TestMain(m *testing.M) { storetest.Main(m) }
