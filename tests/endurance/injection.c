/* Lets the n-th system call on files below one folder fail, or ends the process there.
 *
 * Loaded with LD_PRELOAD. Asleep until inject_arm() is called; counts from then on.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <unistd.h>

enum { MOST_FILES = 1024, KILL_BEFORE = -1, KILL_AFTER = -2 };

static char folder[4096];
static int armed, counted, at, what, again, hit;
static char watched[MOST_FILES];

void inject_arm(const char *below, int nth, int how, int go_on) {
    strncpy(folder, below, sizeof folder - 1);
    memset(watched, 0, sizeof watched);
    counted = 0, at = nth, what = how, again = go_on, hit = 0, armed = 1;
}

int inject_count(void) { return counted; }
int inject_hit(void) { return hit; }
void inject_disarm(void) { armed = 0; }

static int is_ours(const char *path) {
    char whole[4096];
    if (!armed || path == NULL) return 0;
    if (path[0] != '/') {
        if (getcwd(whole, sizeof whole) == NULL) return 0;
        return strncmp(whole, folder, strlen(folder)) == 0;
    }
    return strncmp(path, folder, strlen(folder)) == 0;
}

static int is_open(int fd) { return armed && fd >= 0 && fd < MOST_FILES && watched[fd]; }

/* Counts one call; 1 if it has to fail. `again` lets every later call fail too. */
static int fails(void) {
    counted++;
    if (counted != at && !(again && counted > at)) return 0;
    hit = 1;
    if (what == KILL_BEFORE) kill(getpid(), SIGKILL);
    if (what == KILL_AFTER) return 0;
    errno = what;
    return 1;
}

static void after(void) {
    if (armed && what == KILL_AFTER && counted == at) kill(getpid(), SIGKILL);
}

#define REAL(name) \
    static __typeof__(&name) real; \
    if (real == NULL) real = (__typeof__(&name))dlsym(RTLD_NEXT, #name)

#define ON_FD(type, name, decl, args) \
    type name decl { \
        REAL(name); \
        if (!is_open(fd)) return real args; \
        if (fails()) return -1; \
        type found = real args; \
        int kept = errno; after(); errno = kept; \
        return found; \
    }

#define ON_PATH(type, name, decl, args) \
    type name decl { \
        REAL(name); \
        if (!is_ours(path)) return real args; \
        if (fails()) return -1; \
        type found = real args; \
        int kept = errno; after(); errno = kept; \
        return found; \
    }

ON_FD(ssize_t, write, (int fd, const void *data, size_t size), (fd, data, size))
ON_FD(ssize_t, pwrite, (int fd, const void *data, size_t size, off_t from), (fd, data, size, from))
ON_FD(ssize_t, pwrite64, (int fd, const void *data, size_t size, off64_t from), (fd, data, size, from))
ON_FD(ssize_t, read, (int fd, void *data, size_t size), (fd, data, size))
ON_FD(ssize_t, pread, (int fd, void *data, size_t size, off_t from), (fd, data, size, from))
ON_FD(ssize_t, pread64, (int fd, void *data, size_t size, off64_t from), (fd, data, size, from))
ON_FD(int, fsync, (int fd), (fd))
ON_FD(int, fdatasync, (int fd), (fd))
ON_FD(int, ftruncate, (int fd, off_t size), (fd, size))
ON_FD(int, ftruncate64, (int fd, off64_t size), (fd, size))
ON_FD(int, fallocate, (int fd, int mode, off_t from, off_t size), (fd, mode, from, size))
ON_FD(int, fchmod, (int fd, mode_t mode), (fd, mode))
ON_PATH(int, unlink, (const char *path), (path))
ON_PATH(int, rename, (const char *path, const char *to), (path, to))
ON_PATH(int, link, (const char *path, const char *to), (path, to))
ON_PATH(int, mkdir, (const char *path, mode_t mode), (path, mode))
ON_PATH(int, rmdir, (const char *path), (path))

ssize_t sendfile64(int fd, int from, off64_t *offset, size_t size) {
    static ssize_t (*real)(int, int, off64_t *, size_t);
    if (real == NULL) real = (ssize_t (*)(int, int, off64_t *, size_t))dlsym(RTLD_NEXT, "sendfile64");
    if (!is_open(fd)) return real(fd, from, offset, size);
    if (fails()) return -1;
    ssize_t found = real(fd, from, offset, size);
    int kept = errno; after(); errno = kept;
    return found;
}

static int opened(int fd, int ours) {
    int kept = errno;
    if (fd >= 0 && fd < MOST_FILES) watched[fd] = (char)ours;
    if (ours) after();
    errno = kept;
    return fd;
}

#define OPENING(name) \
    int name(const char *path, int flags, ...) { \
        REAL(name); \
        va_list more; va_start(more, flags); \
        mode_t mode = va_arg(more, mode_t); va_end(more); \
        int ours = is_ours(path); \
        if (ours && fails()) return -1; \
        return opened(real(path, flags, mode), ours); \
    }

#define OPENING_AT(name) \
    int name(int where, const char *path, int flags, ...) { \
        REAL(name); \
        va_list more; va_start(more, flags); \
        mode_t mode = va_arg(more, mode_t); va_end(more); \
        int ours = is_ours(path); \
        if (ours && fails()) return -1; \
        return opened(real(where, path, flags, mode), ours); \
    }

OPENING(open)
OPENING(open64)
OPENING_AT(openat)
OPENING_AT(openat64)

int close(int fd) {
    REAL(close);
    if (fd >= 0 && fd < MOST_FILES) watched[fd] = 0;
    return real(fd);
}

static int locking(int fd, int cmd) {
    /* where every later call fails, locks do not: the driver would wait for them for seconds */
    return is_open(fd) && !again && (cmd == F_SETLK || cmd == F_SETLKW);
}

#define CONTROL(name) \
    int name(int fd, int cmd, ...) { \
        REAL(name); \
        va_list more; va_start(more, cmd); \
        void *arg = va_arg(more, void *); va_end(more); \
        if (!locking(fd, cmd)) return real(fd, cmd, arg); \
        if (fails()) return -1; \
        int found = real(fd, cmd, arg); \
        int kept = errno; after(); errno = kept; \
        return found; \
    }

CONTROL(fcntl)
CONTROL(fcntl64)
