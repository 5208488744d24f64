// Package engines holds the journeys that must hold in more than one browser
// engine: WebKit, which is what a tablet of one large maker has whatever its
// browser is called, and Chromium, both driven by the W3C WebDriver protocol.
//
// The WebKit here is WebKitGTK. Under automation its browser keeps nothing when
// its process ends, so a closed tablet is a closed window there: the page and
// its scripts are gone, the stored data and the service worker are not. With
// Chromium the process ends and starts again on the same profile.
//
// What is not tested here: how long a tablet's own browser keeps what it
// stored, and Firefox, whose driver the distribution does not have.
package engines
