package store_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"io"
	"testing"

	"rillmark/domain"
	"rillmark/service/store"
	"rillmark/service/store/storetest"
)

// TestFilesAreReadAnywhere reads a file of three and a half parts at places across its parts,
// to its end and beyond, and holds it to its hash afterwards.
func TestFilesAreReadAnywhere(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	data := bytesOf(store.PartSize * 7 / 2)
	sum := put(t, s, data, "text/csv")
	f, err := s.OpenBlob(t.Context(), sum)
	if err != nil || f.Size() != int64(len(data)) {
		t.Fatal(f.Size(), err)
	}
	for _, at := range []int{0, store.PartSize * 3, store.PartSize - 5, 17, store.PartSize*2 - 1, len(data) - 3} {
		b := make([]byte, 10)
		n, err := f.ReadAt(b, int64(at))
		want := data[at:min(at+10, len(data))]
		if !bytes.Equal(b[:n], want) || (err != nil) != (len(want) < 10) || err != nil && !errors.Is(err, io.EOF) {
			t.Errorf("at %d: %d bytes, %v", at, n, err)
		}
	}
	if n, err := f.ReadAt(make([]byte, 1), int64(len(data))); n != 0 || !errors.Is(err, io.EOF) {
		t.Errorf("at the end: %d, %v", n, err)
	}
	if err := f.Check(); err != nil {
		t.Error(err)
	}
	exec(t, db, "UPDATE blob_part SET data = set_byte(data, 9, get_byte(data, 9) # 1) WHERE n = 3")
	if f, err = s.OpenBlob(t.Context(), sum); err != nil {
		t.Fatal(err)
	}
	if err := f.Check(); !errors.Is(err, store.ErrBlobBroken) {
		t.Errorf("with a byte flipped: %v", err)
	}
	exec(t, db, "DELETE FROM blob_part WHERE n = 3")
	if f, err = s.OpenBlob(t.Context(), sum); err != nil {
		t.Fatal(err)
	}
	if _, err := f.ReadAt(make([]byte, 1), store.PartSize*3); !errors.Is(err, store.ErrBlobBroken) {
		t.Errorf("with a part gone: %v", err)
	}
	if _, err := s.OpenBlob(t.Context(), [32]byte{1}); domain.KindOf(err) != domain.NotFound {
		t.Errorf("no such file: %v", err)
	}
}

// TestAFileThatChangesIsNotKept hands a file on that is no longer what was hashed.
func TestAFileThatChangesIsNotKept(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	data := bytesOf(store.PartSize + 9)
	sum := sha256.Sum256(data)
	keep := func(file []byte) error {
		_, err := store.Write(t.Context(), s, store.Command{Actor: actor, Action: "file.add", Operation: storetest.Operation()},
			func(ctx context.Context, tx *store.Tx) (answer, error) {
				return answer{}, tx.PutHashed(ctx, "system:test", "text/csv", sum, int64(len(data)), bytes.NewReader(file))
			})
		return err
	}
	changed := bytes.Clone(data)
	changed[store.PartSize+3]++
	if err := keep(changed); !errors.Is(err, store.ErrBlobBroken) {
		t.Errorf("changed after it was hashed: %v", err)
	}
	if _, err := s.OpenBlob(t.Context(), sum); domain.KindOf(err) != domain.NotFound {
		t.Errorf("something of it was kept: %v", err)
	}
	if err := keep(data); err != nil {
		t.Error(err)
	}
}
