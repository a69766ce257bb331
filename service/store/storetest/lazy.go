package storetest

import (
	"context"
	"errors"
	"os"
	"sync"
	"testing"
)

// lazyCluster starts with the first test that asks, so that a run of other tests alone
// does not wait for a cluster.
type lazyCluster struct {
	durable bool
	once    sync.Once
	cluster *Cluster
	err     error
}

func (l *lazyCluster) get(t testing.TB) *Cluster {
	t.Helper()
	l.once.Do(func() {
		// Not the test's context: the cluster outlives the test that asked first.
		if address := os.Getenv(outsideServer); address != "" {
			l.cluster, l.err = outside(context.Background(), address)
			return
		}
		l.cluster, l.err = newCluster(context.Background(), l.durable)
	})
	if l.err != nil {
		giveUp(t, l.err)
	}
	return l.cluster
}

func (l *lazyCluster) stop() error {
	if l.cluster == nil {
		return nil
	}
	var err error
	if l.cluster.server == nil && l.cluster.sharedDB.URL != "" {
		err = l.cluster.drop(context.Background(), l.cluster.sharedName())
	}
	return errors.Join(err, l.cluster.stop())
}
