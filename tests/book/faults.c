/* Makes one system call that writes fail, so that a test can see what becomes of a book on a bad disk.

   Counted are the calls on files whose path holds the text WHEELSIDE_FAULT_AT. The one of number WHEELSIDE_FAULT_NTH fails,
   and so do all after it, unless WHEELSIDE_FAULT_ONCE is 1. WHEELSIDE_FAULT says how: 'full' (no room), 'io' (the disk fails)
   or 'short' (half of it is written, and there is no room after that). Nothing is counted while WHEELSIDE_FAULT_NTH is unset. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>
#include <unistd.h>

long wheelside_calls = 0; /* calls counted so far */
long wheelside_hits = 0;  /* calls that were made to fail */

static int concerns(int fd) {
    const char *at = getenv("WHEELSIDE_FAULT_AT");
    char link[64], path[4096];
    if (!at || !getenv("WHEELSIDE_FAULT_NTH")) return 0;
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t n = readlink(link, path, sizeof path - 1);
    if (n < 0) return 0;
    path[n] = 0;
    return strstr(path, at) != NULL;
}

/* The errno with which this call fails; 0 where it goes well, -1 where it is to write half. */
static int fault(int fd, size_t size) {
    int before = errno;
    if (!concerns(fd)) {
        errno = before;
        return 0;
    }
    errno = before;
    long nth = atol(getenv("WHEELSIDE_FAULT_NTH"));
    const char *how = getenv("WHEELSIDE_FAULT"), *once = getenv("WHEELSIDE_FAULT_ONCE");
    wheelside_calls++;
    if (wheelside_calls < nth || (wheelside_calls > nth && once && !strcmp(once, "1"))) return 0;
    wheelside_hits++;
    if (how && !strcmp(how, "io")) return EIO;
    if (how && !strcmp(how, "short") && wheelside_calls == nth && size > 1) return -1;
    return ENOSPC;
}

#define PLAIN(name) __typeof__(&name) plain = (__typeof__(&name))dlsym(RTLD_NEXT, #name)
#define SPOILT(bad) do { if (bad > 0) { errno = bad; return -1; } } while (0)

ssize_t write(int fd, const void *data, size_t size) {
    PLAIN(write);
    int bad = fault(fd, size);
    SPOILT(bad);
    return plain(fd, data, bad ? size / 2 : size);
}

ssize_t pwrite(int fd, const void *data, size_t size, off_t at) {
    PLAIN(pwrite);
    int bad = fault(fd, size);
    SPOILT(bad);
    return plain(fd, data, bad ? size / 2 : size, at);
}

ssize_t pwrite64(int fd, const void *data, size_t size, off64_t at) {
    PLAIN(pwrite64);
    int bad = fault(fd, size);
    SPOILT(bad);
    return plain(fd, data, bad ? size / 2 : size, at);
}

int fsync(int fd) {
    PLAIN(fsync);
    int bad = fault(fd, 0);
    SPOILT(bad);
    return plain(fd);
}

int fdatasync(int fd) {
    PLAIN(fdatasync);
    int bad = fault(fd, 0);
    SPOILT(bad);
    return plain(fd);
}

int ftruncate(int fd, off_t size) {
    PLAIN(ftruncate);
    int bad = fault(fd, 0);
    SPOILT(bad);
    return plain(fd, size);
}

int ftruncate64(int fd, off64_t size) {
    PLAIN(ftruncate64);
    int bad = fault(fd, 0);
    SPOILT(bad);
    return plain(fd, size);
}
