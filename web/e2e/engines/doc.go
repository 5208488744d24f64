// Package engines holds the journeys that must hold in more than one browser
// engine: WebKit, which is what a tablet of one large maker has whatever its
// browser is called, Chromium and Firefox. The first two are driven by the W3C
// WebDriver protocol, through a driver; Firefox by W3C WebDriver BiDi, which it
// speaks itself.
//
// The WebKit here is WebKitGTK. Under automation its browser keeps nothing when
// its process ends, so a closed tablet is a closed window there: the page and
// its scripts are gone, the stored data and the service worker are not. With
// Chromium and Firefox the process ends and starts again on the same profile.
//
// What is not tested here: how long a tablet's own browser keeps what it
// stored.
package engines
