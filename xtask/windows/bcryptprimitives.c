/* Wine 8 has no bcryptprimitives.dll, from which Rust draws random bytes: one function, made of what
   Windows had before. For the test alone; it goes into nothing that is given away. */
#include <windows.h>
BOOLEAN NTAPI SystemFunction036(PVOID bytes, ULONG count); /* RtlGenRandom of advapi32 */
__declspec(dllexport) BOOL WINAPI ProcessPrng(PBYTE bytes, SIZE_T count) {
    return SystemFunction036(bytes, (ULONG)count);
}
