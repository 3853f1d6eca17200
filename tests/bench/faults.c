/* Preloaded into a process: what it does to files is counted, and at one of these steps it is
 * killed, its disk is full or read-only, or somebody else changes a file. tests/bench/faults.py
 * says when. Steps are calls that change files; reading and the terminal do not count. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <time.h>
#include <unistd.h>

enum { NONE, KILL, TEAR, FULL, ERROR, READ_ONLY, CHANGE, COUNT };
enum { WRITE, CREATE, OTHER };

static int what = NONE, busy = 0;
static long at = 0, steps = 0, offset = 0;
static char other[4096], text[256];

#define REAL(type, name, ...) static type (*real)(__VA_ARGS__); \
    if (!real) real = (type (*)(__VA_ARGS__))dlsym(RTLD_NEXT, name)

void fault_arm(int kind, long step) { what = kind; at = step; steps = 0; }
long fault_steps(void) { return steps; }
void fault_clock(long seconds) { offset = seconds; }
void fault_other(const char *path, const char *line) {
    strncpy(other, path, sizeof other - 1);
    strncpy(text, line, sizeof text - 1);
}

static ssize_t plain_write(int fd, const void *data, size_t size) {
    REAL(ssize_t, "write", int, const void *, size_t);
    return real(fd, data, size);
}

static void somebody_else(void) {
    REAL(int, "open", const char *, int, ...);
    int fd = real(other, O_WRONLY | O_APPEND);
    if (fd < 0) return;
    plain_write(fd, text, strlen(text));
    close(fd);
}

/* Counts a step; 0: go on, 1: half of it and then the end, else the error it fails with. */
static int step(int sort) {
    if (what == NONE || busy) return 0;
    steps++;
    if (steps < at) return 0;
    switch (what) {
    case KILL:
        raise(SIGKILL);
        return 0;
    case TEAR:
        if (sort == WRITE) return 1;
        raise(SIGKILL);
        return 0;
    case FULL:
        return sort == OTHER ? 0 : ENOSPC;
    case ERROR:
        return steps == at ? EIO : 0;
    case READ_ONLY:
        return EROFS;
    case COUNT:
        return 0;
    case CHANGE:
        if (steps == at) { busy = 1; somebody_else(); busy = 0; }
        return 0;
    }
    return 0;
}

static int counts(int fd) {
    struct stat is;
    return fd > 2 && fstat(fd, &is) == 0 && (S_ISREG(is.st_mode) || S_ISDIR(is.st_mode));
}

#define FAIL(sort) do { int wrong = step(sort); if (wrong) { errno = wrong; return -1; } } while (0)

ssize_t write(int fd, const void *data, size_t size) {
    if (counts(fd)) {
        int wrong = step(WRITE);
        if (wrong == 1) { plain_write(fd, data, size / 2); raise(SIGKILL); }
        if (wrong) { errno = wrong; return -1; }
    }
    return plain_write(fd, data, size);
}

#define PWRITE(name, offset_type) \
ssize_t name(int fd, const void *data, size_t size, offset_type where) { \
    REAL(ssize_t, #name, int, const void *, size_t, offset_type); \
    if (counts(fd)) { \
        int wrong = step(WRITE); \
        if (wrong == 1) { real(fd, data, size / 2, where); raise(SIGKILL); } \
        if (wrong) { errno = wrong; return -1; } \
    } \
    return real(fd, data, size, where); \
}
PWRITE(pwrite, off_t)
PWRITE(pwrite64, off64_t)

#define ON_FD(name, sort) \
int name(int fd) { REAL(int, #name, int); if (counts(fd)) FAIL(sort); return real(fd); }
ON_FD(fsync, OTHER)
ON_FD(fdatasync, OTHER)

int ftruncate(int fd, off_t size) {
    REAL(int, "ftruncate", int, off_t);
    if (counts(fd)) FAIL(OTHER);
    return real(fd, size);
}
int ftruncate64(int fd, off64_t size) {
    REAL(int, "ftruncate64", int, off64_t);
    if (counts(fd)) FAIL(OTHER);
    return real(fd, size);
}
int rename(const char *from, const char *to) {
    REAL(int, "rename", const char *, const char *);
    FAIL(OTHER);
    return real(from, to);
}
int unlink(const char *path) {
    REAL(int, "unlink", const char *);
    FAIL(OTHER);
    return real(path);
}
int unlinkat(int fd, const char *path, int flags) {
    REAL(int, "unlinkat", int, const char *, int);
    FAIL(OTHER);
    return real(fd, path, flags);
}
int rmdir(const char *path) {
    REAL(int, "rmdir", const char *);
    FAIL(OTHER);
    return real(path);
}
int mkdir(const char *path, mode_t mode) {
    REAL(int, "mkdir", const char *, mode_t);
    FAIL(CREATE);
    return real(path, mode);
}
int chmod(const char *path, mode_t mode) {
    REAL(int, "chmod", const char *, mode_t);
    FAIL(OTHER);
    return real(path, mode);
}

#define OPEN(name) \
int name(const char *path, int flags, ...) { \
    REAL(int, #name, const char *, int, ...); \
    va_list more; \
    va_start(more, flags); \
    mode_t mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(more, mode_t) : 0; \
    va_end(more); \
    if (strncmp(path, "/dev/", 5) || !strncmp(path, "/dev/shm/", 9)) { \
        if ((flags & O_CREAT) && access(path, F_OK)) FAIL(CREATE); \
        else if (what == READ_ONLY && steps >= at && (flags & O_ACCMODE) != O_RDONLY) FAIL(OTHER); \
    } \
    return real(path, flags, mode); \
}
OPEN(open)
OPEN(open64)

int clock_gettime(clockid_t clock, struct timespec *now) {
    REAL(int, "clock_gettime", clockid_t, struct timespec *);
    int done = real(clock, now);
    if (clock == CLOCK_REALTIME) now->tv_sec += offset;
    return done;
}
