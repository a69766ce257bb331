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

func put(t *testing.T, s *store.Store, data []byte, mediaType string) (sum [32]byte) {
	t.Helper()
	_, err := store.Write(t.Context(), s, store.Command{Actor: actor, Action: "file.add", Operation: storetest.Operation()},
		func(ctx context.Context, tx *store.Tx) (answer, error) {
			file := bytes.NewReader(data)
			_, err := file.Seek(int64(len(data)), io.SeekStart) // as one finds it that was read before
			if err != nil {
				return answer{}, err
			}
			sum, err = tx.PutBlob(ctx, "system:test", mediaType, file)
			return answer{}, err
		})
	if err != nil {
		t.Fatal(err)
	}
	return sum
}

// bytesOf are bytes in which no two parts are alike.
func bytesOf(size int) []byte {
	data := make([]byte, size)
	for i := range data {
		data[i] = byte(i*7 + i>>8 + i>>20)
	}
	return data
}

func TestFilesComeBackAsTheyWere(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	for name, c := range map[string]struct{ size, parts int }{
		"empty": {0, 0}, "one byte": {1, 1}, "one part less a byte": {store.PartSize - 1, 1}, "one part": {store.PartSize, 1},
		"one part and a byte": {store.PartSize + 1, 2}, "three and a half": {store.PartSize * 7 / 2, 4},
	} {
		t.Run(name, func(t *testing.T) {
			data := bytesOf(c.size)
			sum := put(t, s, data, "application/octet-stream")
			if sum != sha256.Sum256(data) {
				t.Errorf("stored under %x", sum)
			}
			var back bytes.Buffer
			mediaType, err := s.GetBlob(t.Context(), sum, &back)
			if err != nil || mediaType != "application/octet-stream" || !bytes.Equal(back.Bytes(), data) {
				t.Errorf("%s, %d bytes back, %v", mediaType, back.Len(), err)
			}
			if n := one[int](t, db, "SELECT count(*) FROM blob_part WHERE sha256 = $1", sum[:]); n != c.parts {
				t.Errorf("%d parts, want %d", n, c.parts)
			}
		})
	}
}

func TestSameFileIsStoredOnce(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	data := bytesOf(store.PartSize + 5)
	first := put(t, s, data, "text/csv")
	if again := put(t, s, data, "text/plain"); again != first {
		t.Errorf("%x, then %x", first, again)
	}
	if n := one[int](t, db, "SELECT count(*) FROM blob_part"); n != 2 {
		t.Errorf("%d parts", n)
	}
	if mediaType, err := s.GetBlob(t.Context(), first, io.Discard); mediaType != "text/csv" || err != nil {
		t.Errorf("%s, %v: what was stored first stays", mediaType, err)
	}
}

func TestBrokenFileIsTold(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	seed := byte(0)
	for name, sql := range map[string]string{
		"flipped bit":     "UPDATE blob_part SET data = set_byte(data, 1000, get_byte(data, 1000) # 1) WHERE sha256 = $1 AND n = 1",
		"missing part":    "DELETE FROM blob_part WHERE sha256 = $1 AND n = 1",
		"missing end":     "DELETE FROM blob_part WHERE sha256 = $1 AND n = 2",
		"shortened part":  "UPDATE blob_part SET data = substr(data, 2) WHERE sha256 = $1 AND n = 0",
		"lengthened part": "UPDATE blob_part SET data = data || 'x' WHERE sha256 = $1 AND n = 2",
		"another's part":  "UPDATE blob_part SET data = (SELECT data FROM blob_part WHERE sha256 = $1 AND n = 1) WHERE sha256 = $1 AND n = 0",
		"another size":    "UPDATE blob SET size = size + 1 WHERE sha256 = $1",
		"smaller size":    "UPDATE blob SET size = 1 WHERE sha256 = $1",
	} {
		data := bytesOf(store.PartSize * 5 / 2)
		data[0] = seed
		seed++
		sum := put(t, s, data, "text/csv")
		if _, err := db.Connect(t, "").Exec(t.Context(), sql, sum[:]); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if _, err := s.GetBlob(t.Context(), sum, io.Discard); !errors.Is(err, store.ErrBlobBroken) {
			t.Errorf("%s: got %v", name, err)
		}
	}
}

func TestNoSuchFile(t *testing.T) {
	t.Parallel()
	_, err := storetest.Shared(t).Open(t, store.App).GetBlob(t.Context(), [32]byte{1}, io.Discard)
	wantKind(t, err, domain.NotFound, domain.NoSuchThing)
}

type failing struct{ at int64 }

var errReader = errors.New("the reader failed")

func (f *failing) Read(p []byte) (int, error) { return 0, errReader }
func (f *failing) Seek(offset int64, _ int) (int64, error) {
	if f.at++; f.at > 1 {
		return 0, errReader
	}
	return offset, nil
}

func TestReaderThatFailsLeavesNothing(t *testing.T) {
	t.Parallel()
	db := storetest.Clone(t)
	s := db.Open(t, store.App)
	_, err := store.Write(t.Context(), s, store.Command{Actor: actor, Action: "file.add", Operation: storetest.Operation()},
		func(ctx context.Context, tx *store.Tx) (answer, error) {
			_, err := tx.PutBlob(ctx, "system:test", "text/csv", &failing{})
			return answer{}, err
		})
	if !errors.Is(err, errReader) {
		t.Errorf("got %v", err)
	}
	holds(t, db, 0, 0, 0)
}

type noRoom struct{}

var errFull = errors.New("no room")

func (noRoom) Write([]byte) (int, error) { return 0, errFull }

func TestWriterThatFailsIsTold(t *testing.T) {
	t.Parallel()
	s := storetest.Clone(t).Open(t, store.App)
	sum := put(t, s, []byte("x"), "text/csv")
	if _, err := s.GetBlob(t.Context(), sum, noRoom{}); !errors.Is(err, errFull) {
		t.Errorf("got %v", err)
	}
}
