package media

import (
	"net"
	"net/netip"
	"syscall"
	"time"
)

// reserved are the ranges that are not plainly public beyond those netip knows: shared and
// carrier space, protocol and test networks, and IPv6 forms that carry an IPv4 address inside.
// Source: IANA special-purpose address registries (from memory).
var reserved = []netip.Prefix{
	netip.MustParsePrefix("0.0.0.0/8"), netip.MustParsePrefix("100.64.0.0/10"),
	netip.MustParsePrefix("192.0.0.0/24"), netip.MustParsePrefix("192.0.2.0/24"),
	netip.MustParsePrefix("192.88.99.0/24"), netip.MustParsePrefix("198.18.0.0/15"),
	netip.MustParsePrefix("198.51.100.0/24"), netip.MustParsePrefix("203.0.113.0/24"),
	netip.MustParsePrefix("240.0.0.0/4"), netip.MustParsePrefix("::/96"),
	netip.MustParsePrefix("64:ff9b::/96"), netip.MustParsePrefix("64:ff9b:1::/48"),
	netip.MustParsePrefix("100::/64"), netip.MustParsePrefix("2001::/23"),
	netip.MustParsePrefix("2001:db8::/32"), netip.MustParsePrefix("2002::/16"),
}

// public tells whether the server may call an address that a person gave it. Otherwise a person
// could make the server knock at machines inside its own network.
func public(address netip.Addr) bool {
	address = address.Unmap()
	if !address.IsGlobalUnicast() || address.IsPrivate() || address.Zone() != "" {
		return false
	}
	for _, prefix := range reserved {
		if prefix.Contains(address) {
			return false
		}
	}
	return true
}

// newDialer checks the address at the moment of connecting, after names are resolved, so that a
// name which changes its address between check and use gains nothing.
func newDialer(allowPrivate bool) *net.Dialer {
	return &net.Dialer{
		Timeout: 5 * time.Second,
		Control: func(_, address string, _ syscall.RawConn) error {
			if allowPrivate {
				return nil
			}
			target, err := netip.ParseAddrPort(address)
			if err != nil || !public(target.Addr()) {
				return fault(AddressRefused, err,
					"the address leads into a private network, which the server does not call; put the file in an allowed folder")
			}
			return nil
		},
	}
}
