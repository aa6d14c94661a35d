// A program that holds one folder's whole library. That it links is the test; that it starts shows
// that every library it needs is there.
int main() { return 0; }
