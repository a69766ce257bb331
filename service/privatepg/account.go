package privatepg

import (
	"fmt"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"

	"rillmark/calc/fault"
)

// account is who the server's processes run as. The zero value is root, which PostgreSQL
// refuses.
type account struct {
	uid, gid int
	name     string
	dropped  bool // the caller is root and the server is not
}

// accountsForRoot are tried in order when root starts a new cluster.
var accountsForRoot = []string{"postgres", "nobody"}

// chooseAccount picks the account: an ordinary caller is it himself. Root drops to the
// owner of an existing cluster, so that a cluster made as one account is never started as
// another; else to the account named or the first that exists.
func chooseAccount(f folder, named string) (account, error) {
	owner, made := ownerOf(f.data())
	if euid := os.Geteuid(); euid != 0 {
		me := account{uid: euid, gid: os.Getegid(), name: nameOf(euid)}
		if made && owner.uid != euid {
			return account{}, folderNotYours.At("", f.dir, owner.name, me.name)
		}
		return me, nil
	}
	if made && owner.uid != 0 {
		owner.dropped = true
		return owner, nil
	}
	names := accountsForRoot
	if named != "" {
		names = []string{named}
	}
	for _, name := range names {
		if a, ok := lookUpAccount(name); ok && !made {
			return a, nil
		} else if ok {
			return account{}, folderNotYours.At("", f.dir, owner.name, a.name)
		}
	}
	return account{}, noAccount.At("", strings.Join(names, ", "))
}

// lookUpAccount finds an account in the machine's list; initdb looks itself up there, so
// a bare number would not do.
func lookUpAccount(name string) (account, bool) {
	u, err := user.Lookup(name)
	if err != nil {
		return account{}, false
	}
	uid, errUID := strconv.Atoi(u.Uid)
	gid, errGID := strconv.Atoi(u.Gid)
	ok := errUID == nil && errGID == nil && uid != 0
	return account{uid: uid, gid: gid, name: name, dropped: true}, ok
}

func ownerOf(path string) (account, bool) {
	fi, err := os.Stat(path)
	if err != nil {
		return account{}, false
	}
	st, ok := fi.Sys().(*syscall.Stat_t)
	if !ok {
		return account{}, false
	}
	return account{uid: int(st.Uid), gid: int(st.Gid), name: nameOf(int(st.Uid))}, true
}

func nameOf(uid int) string {
	if u, err := user.LookupId(strconv.Itoa(uid)); err == nil {
		return u.Username
	}
	return fmt.Sprintf("user number %d", uid)
}

// credential is nil for the caller's own account.
func (a account) credential() *syscall.Credential {
	if !a.dropped {
		return nil
	}
	return &syscall.Credential{Uid: uint32(a.uid), Gid: uint32(a.gid), Groups: []uint32{}}
}

// own hands a path to the account. A link is not followed: root may be working in a
// folder of somebody who would like to own another.
func (a account) own(path string) error {
	if !a.dropped {
		return nil
	}
	return os.Lchown(path, a.uid, a.gid)
}

// canReach reports, as a fault of the code, the folder on the way to path (path included)
// that is closed to the dropped account; parts that do not exist yet are not judged.
// Without it a closed parent would show as a bare "permission denied" of initdb.
func (a account) canReach(path string, code *fault.Code) error {
	if !a.dropped {
		return nil
	}
	real := resolve(path)
	for dir := real; ; dir = filepath.Dir(dir) {
		if fi, err := os.Stat(dir); err == nil && fi.IsDir() && !a.canEnter(fi) {
			return code.At("", path, dir, a.name)
		}
		if dir == filepath.Dir(dir) {
			return nil
		}
	}
}

func (a account) canEnter(fi os.FileInfo) bool {
	mode := fi.Mode().Perm()
	st, ok := fi.Sys().(*syscall.Stat_t)
	switch {
	case ok && int(st.Uid) == a.uid:
		return mode&0o100 != 0
	case ok && int(st.Gid) == a.gid:
		return mode&0o010 != 0
	}
	return mode&0o001 != 0
}

// resolve follows the links of the part of the path that exists.
func resolve(path string) string {
	for head, tail := path, ""; ; head, tail = filepath.Dir(head), filepath.Join(filepath.Base(head), tail) {
		if real, err := filepath.EvalSymlinks(head); err == nil {
			return filepath.Join(real, tail)
		}
		if head == filepath.Dir(head) {
			return path
		}
	}
}
