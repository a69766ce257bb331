package chunk

// Read is read, for the tests.
var Read = read
