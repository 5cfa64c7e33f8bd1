package media

import "sync"

// stillCacheBytes bounds the pictures that are kept: some two hundred of the width that a report shows.
const stillCacheBytes = 16 << 20

type stillKey struct {
	fingerprint string
	ms          int64
	width       int
}

// stillCache keeps the pictures that were taken last, and lets a few be taken at a time.
type stillCache struct {
	turns chan struct{}

	mutex    sync.Mutex
	pictures map[stillKey][]byte
	order    []stillKey // oldest first
	size     int
}

func newStillCache() *stillCache {
	return &stillCache{turns: make(chan struct{}, stillsAtOnce), pictures: map[stillKey][]byte{}}
}

func (c *stillCache) get(key stillKey) ([]byte, bool) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	picture, ok := c.pictures[key]
	return picture, ok
}

func (c *stillCache) put(key stillKey, picture []byte) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	if _, known := c.pictures[key]; known {
		return
	}
	c.pictures[key], c.order = picture, append(c.order, key)
	c.size += len(picture)
	for c.size > stillCacheBytes && len(c.order) > 0 {
		c.size -= len(c.pictures[c.order[0]])
		delete(c.pictures, c.order[0])
		c.order = c.order[1:]
	}
}
