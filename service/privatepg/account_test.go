package privatepg

import (
	"os"
	"path/filepath"
	"testing"
)

func TestCanReachNamesTheClosedFolder(t *testing.T) {
	top := place(t)
	closed := filepath.Join(top, "closed")
	if err := os.MkdirAll(filepath.Join(closed, "below"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(closed, 0o750); err != nil {
		t.Fatal(err)
	}
	gid := os.Getegid()
	for name, c := range map[string]struct {
		who  account
		path string
		open bool
	}{
		"stranger, open folder":     {account{uid: 4711, gid: 4711, dropped: true}, top, true},
		"stranger, closed folder":   {account{uid: 4711, gid: 4711, dropped: true}, closed, false},
		"stranger, below it":        {account{uid: 4711, gid: 4711, dropped: true}, filepath.Join(closed, "below", "new", "er"), false},
		"its group may enter":       {account{uid: 4711, gid: gid, dropped: true}, filepath.Join(closed, "below"), true},
		"its owner may enter":       {account{uid: os.Geteuid(), gid: 4711, dropped: true}, closed, true},
		"the caller is not judged":  {account{uid: 4711, gid: 4711}, closed, true},
		"what is not there is open": {account{uid: 4711, gid: 4711, dropped: true}, filepath.Join(top, "new"), true},
	} {
		t.Run(name, func(t *testing.T) {
			err := c.who.canReach(c.path, folderClosed)
			if c.open {
				if err != nil {
					t.Errorf("closed: %v", err)
				}
				return
			}
			wantFault(t, err, folderClosed)
		})
	}
}

// Through a link the way that counts is the link's target.
func TestCanReachFollowsLinks(t *testing.T) {
	top := place(t)
	closed := filepath.Join(top, "closed")
	if err := os.MkdirAll(filepath.Join(closed, "inner"), 0o700); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(top, "link")
	if err := os.Symlink(filepath.Join(closed, "inner"), link); err != nil {
		t.Fatal(err)
	}
	err := account{uid: 4711, gid: 4711, dropped: true}.canReach(filepath.Join(link, "new"), folderClosed)
	wantFault(t, err, folderClosed)
}

func TestOnlyRootDropsPrivileges(t *testing.T) {
	a, err := chooseAccount(folder{place(t)}, "")
	if err != nil {
		t.Fatal(err)
	}
	if root := os.Geteuid() == 0; a.dropped != root || (a.credential() != nil) != root || a.uid == 0 {
		t.Errorf("root %v: %+v", root, a)
	}
	if os.Geteuid() != 0 {
		return
	}
	_, err = chooseAccount(folder{place(t)}, "no-such-account")
	wantFault(t, err, noAccount)
	_, err = chooseAccount(folder{place(t)}, "root")
	wantFault(t, err, noAccount)
}

// A cluster is started as the account that made it, whatever is asked for; one that
// belongs to root can be started by nobody.
func TestOwnerOfTheClusterDecides(t *testing.T) {
	f := folder{place(t)}
	if err := os.Mkdir(f.data(), 0o700); err != nil {
		t.Fatal(err)
	}
	if os.Geteuid() != 0 {
		if a, err := chooseAccount(f, ""); err != nil || a.uid != os.Geteuid() {
			t.Errorf("own cluster: %+v, %v", a, err)
		}
		return
	}
	_, err := chooseAccount(f, "nobody")
	wantFault(t, err, folderNotYours)
	owner, _ := lookUpAccount("nobody")
	if err := owner.own(f.data()); err != nil {
		t.Fatal(err)
	}
	if a, err := chooseAccount(f, ""); err != nil || a.uid != owner.uid || !a.dropped {
		t.Errorf("nobody's cluster: %+v, %v", a, err)
	}
}
