package main

import (
	"net"
	"net/netip"
	"net/url"
	"strings"
)

// Reach says from where the server can be reached, and how what travels there is kept safe.
type Reach struct {
	Addr string
	// Cert and Key are files in PEM; empty: no TLS here.
	Cert, Key string
	// Origin is what the address bar of every device shows; empty: this machine alone.
	Origin string
	// Proxies is the list of addresses as it was typed.
	Proxies string
}

// settle checks that the settings go together and returns the proxies.
func (r Reach) settle(demo bool) ([]netip.Prefix, error) {
	host, _, err := net.SplitHostPort(r.Addr)
	if err != nil {
		return nil, misused("-addr %q is not an address: write it like 127.0.0.1:8080", r.Addr)
	}
	proxies, err := proxiesOf(r.Proxies)
	if err != nil {
		return nil, err
	}
	if (r.Cert == "") != (r.Key == "") {
		return nil, misused("-tls-cert and -tls-key belong together: name both files, or neither")
	}
	return proxies, r.closed(host, demo)
}

// closed refuses settings with which somebody on the way could read a PIN or a cookie.
func (r Reach) closed(host string, demo bool) error {
	ip := net.ParseIP(host)
	alone := host == "localhost" || ip != nil && ip.IsLoopback()
	switch safe := r.Cert != "" || r.Proxies != ""; {
	case demo && (!alone || r.Proxies != "" || r.Origin != ""):
		return misused("-demo prints its PINs, so it answers on this machine alone: use -addr 127.0.0.1:8080 without -origin and -behind-proxy")
	case !alone && !safe:
		return misused("-addr %s can be reached from other machines, and without TLS anybody on the way could read PINs: add -tls-cert and -tls-key, or -behind-proxy, or use -addr 127.0.0.1:8080", r.Addr)
	case r.Origin != "" && !safe:
		return misused("-origin needs TLS: add -tls-cert and -tls-key, or -behind-proxy")
	case r.Origin == "" && (!alone || r.Proxies != ""):
		return misused("the server has to know what the address bar of every device shows: add -origin https://NAME")
	case r.Origin != "" && !isOrigin(r.Origin):
		return misused("-origin %q is not an origin: write it like https://cards.example.org, small letters, without a path", r.Origin)
	}
	return nil
}

func isOrigin(s string) bool {
	u, err := url.Parse(s)
	return err == nil && u.Scheme == "https" && u.Hostname() != "" && s == "https://"+u.Host && s == strings.ToLower(s)
}

func proxiesOf(list string) ([]netip.Prefix, error) {
	if list == "" {
		return nil, nil
	}
	var out []netip.Prefix
	for text := range strings.SplitSeq(list, ",") {
		text = strings.TrimSpace(text)
		if ip, err := netip.ParseAddr(text); err == nil && ip.Zone() == "" {
			out = append(out, netip.PrefixFrom(ip.Unmap(), ip.Unmap().BitLen()))
		} else if p, err := netip.ParsePrefix(text); err == nil && p.Bits() > 0 {
			out = append(out, p.Masked())
		} else {
			return nil, misused("-behind-proxy %q is no address of a proxy: write it like 10.0.0.5 or 10.0.0.0/28, several with commas between", text)
		}
	}
	return out, nil
}
