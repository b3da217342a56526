/* Records what a program does to the files of a folder, so that a test can see what a power cut at any moment would leave of them.

   Recorded are the calls on paths that hold the text WHEELSIDE_RECORD_AT, into the file WHEELSIDE_RECORD_TO: one letter (c made, w written,
   s synced, t cut to a length, u taken away, r renamed), then offset or length, then two texts or the data, each behind its size. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <unistd.h>

#define NEXT(name) __typeof__(&name) plain = (__typeof__(&name))dlsym(RTLD_NEXT, #name)

static pthread_mutex_t turn = PTHREAD_MUTEX_INITIALIZER;

static int concerns(const char *path) {
    const char *at = getenv("WHEELSIDE_RECORD_AT");
    return at && path && strstr(path, at) != NULL;
}

static int path_of(int fd, char *path, size_t size) {
    char link[64];
    int before = errno;
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t n = readlink(link, path, size - 1);
    errno = before;
    if (n < 0) return 0;
    path[n] = 0;
    return concerns(path);
}

static void record(char what, const char *path, int64_t at, const void *data, uint64_t size) {
    static int to = -1;
    int before = errno;
    int (*plain_open)(const char *, int, ...) = dlsym(RTLD_NEXT, "open");
    ssize_t (*plain_write)(int, const void *, size_t) = dlsym(RTLD_NEXT, "write");
    pthread_mutex_lock(&turn);
    if (to < 0) to = plain_open(getenv("WHEELSIDE_RECORD_TO"), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
    uint64_t length = strlen(path);
    char *line = malloc(25 + length + size);
    line[0] = what;
    memcpy(line + 1, &at, 8);
    memcpy(line + 9, &length, 8);
    memcpy(line + 17, path, length);
    memcpy(line + 17 + length, &size, 8);
    if (size) memcpy(line + 25 + length, data, size);
    if (plain_write(to, line, 25 + length + size) < 0) abort();
    free(line);
    pthread_mutex_unlock(&turn);
    errno = before;
}

static void made(int fd, int was_there) {
    char full[4096];
    if (fd >= 0 && !was_there && path_of(fd, full, sizeof full)) record('c', full, 0, NULL, 0);
}

static int there(int folder, const char *path) {
    struct stat found;
    int before = errno, is = fstatat(folder, path, &found, 0) == 0;
    errno = before;
    return is;
}

#define OPENS(name)                                                              \
    int name(const char *path, int flags, ...) {                                 \
        NEXT(name);                                                              \
        va_list more;                                                            \
        va_start(more, flags);                                                   \
        mode_t mode = flags & O_CREAT ? va_arg(more, mode_t) : 0;                \
        va_end(more);                                                            \
        int was = !(flags & O_CREAT) || there(AT_FDCWD, path), fd = plain(path, flags, mode); \
        made(fd, was);                                                     \
        return fd;                                                               \
    }
OPENS(open)
OPENS(open64)

#define OPENSAT(name)                                                            \
    int name(int folder, const char *path, int flags, ...) {                     \
        NEXT(name);                                                              \
        va_list more;                                                            \
        va_start(more, flags);                                                   \
        mode_t mode = flags & O_CREAT ? va_arg(more, mode_t) : 0;                \
        va_end(more);                                                            \
        int was = !(flags & O_CREAT) || there(folder, path), fd = plain(folder, path, flags, mode); \
        made(fd, was);                                                     \
        return fd;                                                               \
    }
OPENSAT(openat)
OPENSAT(openat64)

ssize_t write(int fd, const void *data, size_t size) {
    NEXT(write);
    char path[4096];
    int ours = path_of(fd, path, sizeof path);
    off_t at = ours ? lseek(fd, 0, fcntl(fd, F_GETFL) & O_APPEND ? SEEK_END : SEEK_CUR) : 0;
    ssize_t done = plain(fd, data, size);
    if (ours && done > 0) record('w', path, at, data, done);
    return done;
}

#define WRITES(name, type)                                                       \
    ssize_t name(int fd, const void *data, size_t size, type at) {               \
        NEXT(name);                                                              \
        char path[4096];                                                         \
        ssize_t done = plain(fd, data, size, at);                                \
        if (done > 0 && path_of(fd, path, sizeof path)) record('w', path, at, data, done); \
        return done;                                                             \
    }
WRITES(pwrite, off_t)
WRITES(pwrite64, off64_t)

#define SYNCS(name)                                                              \
    int name(int fd) {                                                           \
        NEXT(name);                                                              \
        char path[4096];                                                         \
        int done = plain(fd);                                                    \
        if (done == 0 && path_of(fd, path, sizeof path)) record('s', path, 0, NULL, 0); \
        return done;                                                             \
    }
SYNCS(fsync)
SYNCS(fdatasync)

#define CUTS(name, type)                                                         \
    int name(int fd, type size) {                                                \
        NEXT(name);                                                              \
        char path[4096];                                                         \
        int done = plain(fd, size);                                              \
        if (done == 0 && path_of(fd, path, sizeof path)) record('t', path, size, NULL, 0); \
        return done;                                                             \
    }
CUTS(ftruncate, off_t)
CUTS(ftruncate64, off64_t)

int unlink(const char *path) {
    NEXT(unlink);
    int done = plain(path);
    if (done == 0 && concerns(path)) record('u', path, 0, NULL, 0);
    return done;
}

int rename(const char *from, const char *to) {
    NEXT(rename);
    int done = plain(from, to);
    if (done == 0 && concerns(to)) record('r', from, 0, to, strlen(to));
    return done;
}
