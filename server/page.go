package main

import "witnessmark/server/book"

// volunteersPage is what view links show.
type volunteersPage struct{ book.Book }
