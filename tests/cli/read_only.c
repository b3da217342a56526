/* Makes a folder take no writes, as a disk does that was mounted to be read only: opening a file there to write fails.

   Concerned are paths that hold the text WHEELSIDE_READ_ONLY. Rights do not bind a test that runs as the system's owner; this does. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>

static int refused(const char *path, int flags) {
    const char *at = getenv("WHEELSIDE_READ_ONLY");
    return at && strstr(path, at) && ((flags & O_ACCMODE) != O_RDONLY || (flags & O_CREAT));
}

#define OPENS(name)                                                                        \
    int name(const char *path, int flags, ...) {                                           \
        va_list more;                                                                      \
        va_start(more, flags);                                                             \
        mode_t mode = va_arg(more, mode_t);                                                \
        va_end(more);                                                                      \
        if (refused(path, flags)) {                                                        \
            errno = EROFS;                                                                 \
            return -1;                                                                     \
        }                                                                                  \
        int (*plain)(const char *, int, ...) = dlsym(RTLD_NEXT, #name);                    \
        return plain(path, flags, mode);                                                   \
    }

OPENS(open)
OPENS(open64)
